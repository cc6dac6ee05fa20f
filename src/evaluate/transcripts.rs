//! What another recogniser wrote of the same cases → the same verdicts: its words are read as text is, and judged by the
//! code that judges what is heard here.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Deserialize;

use super::EvaluateError;
use super::case::Case;
use super::judged::judge_case;
use super::latency::Times;
use super::run::{HeardUtterance, Run};
use crate::error::Result;
use crate::grammar::Grammar;
use crate::hear::{SAMPLE_RATE, read_wav};

/// A line of the file of transcripts: what was written of one case.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Transcript {
    /// The case's name, as [`Case::id`].
    case: String,
    /// All that was written.
    text: String,
    /// Milliseconds that it took.
    ms: f64,
}

/// Judges what `file` says was heard in the cases in these folders. Continuous recordings, and cases of which the file says
/// nothing, are left out.
///
/// # Errors
/// If the file or a case cannot be read, or the file is of none of the cases.
pub fn read_transcripts(folders: &[PathBuf], file: &Path, grammar: &Arc<Grammar>) -> Result<Run> {
    let written = transcripts(file)?;
    let mut run = Run::default();
    for folder in folders {
        let case = Case::read(folder)?;
        let Some(transcript) = written.get(&case.id).filter(|_| !case.continuous) else {
            continue;
        };
        let sound_s = read_wav(&case.speech())?.len() as f64 / f64::from(SAMPLE_RATE);
        let reading = case.interpreter(grammar).read(&transcript.text);
        let utterance = HeardUtterance {
            start_s: 0.0,
            end_s: sound_s,
            words: transcript.text.clone(),
            outcome: reading.outcome,
            amends: reading.amends,
            decode_ms: transcript.ms,
        };
        run.times.push(Times {
            decode_ms: transcript.ms,
            speech_s: sound_s,
            answered_ms: None,
            settled: false,
        });
        run.judged.extend(judge_case(&case, &[utterance], sound_s));
        run.sound_s += sound_s;
        run.heard += 1;
    }
    run.cases = run.heard;
    if run.heard == 0 {
        let path = file.into();
        return Err(EvaluateError::NoTranscripts { path }.into());
    }
    Ok(run)
}

fn transcripts(file: &Path) -> std::result::Result<HashMap<String, Transcript>, EvaluateError> {
    let text = std::fs::read_to_string(file).map_err(|source| EvaluateError::Read {
        path: file.into(),
        source,
    })?;
    let mut written = HashMap::new();
    for (at, line) in text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
    {
        let one: Transcript = serde_json::from_str(line).map_err(|why| EvaluateError::CaseFile {
            path: file.into(),
            line: at + 1,
            why: format!("{why}; a line is like {{\"case\": \"…\", \"text\": \"…\", \"ms\": 250}}"),
        })?;
        written.insert(one.case.clone(), one);
    }
    Ok(written)
}

//! How fast, and in how much memory, the recogniser hears: one table, for every installed model.
//!
//! ```text
//! cargo bench --bench decoding
//! ```
//! Every row is a process of its own, so that its peak memory is its own. The processes of a model take turns,
//! sentence by sentence, so that whatever else the computer does hits all of them alike. The rows of the full
//! window are plain Whisper, the baseline; the ratios say what the others take against it in the same run.
//!
//! It measures and fails nothing: what is expected of the search stands below the table, met or missed.

mod child;
mod measure;
mod table;

use std::path::{Path, PathBuf};

use couchside::hear::engine::LONGEST_S;
use couchside::hear::model::path_of;
use couchside::hear::{SAMPLE_RATE, read_wav};

/// Models that get rows if they are installed; the first is the one that the expectations are about.
const MODELS: [&str; 3] = ["tiny.en-joints", "tiny.en", "base"];
/// Sentences that each row decodes, spread over the samples.
const SENTENCES: usize = 24;

/// A sample that is one sentence.
struct Sentence {
    path: PathBuf,
    seconds: f64,
}

fn main() {
    // Cargo passes `--bench`; a child gets the way and the model.
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| argument != "--bench")
        .collect();
    if let [way, model] = arguments.as_slice() {
        let way = way.parse().ok().and_then(|way: usize| child::WAYS.get(way));
        return child::listen(way.expect("a way's number"), Path::new(model));
    }
    let sentences = sentences();
    table::head(&sentences);
    for name in MODELS {
        match path_of(Some(name)) {
            Ok(path) => table::rows(name, &measure::model(&path, &sentences)),
            Err(error) => println!("{name:8} {error}"),
        }
    }
}

/// The samples that are one sentence, at most [`SENTENCES`] spread over all.
fn sentences() -> Vec<Sentence> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("audio-samples");
    let mut sentences: Vec<Sentence> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("a folder's entry").path().join("speech.wav"))
        .filter(|path| path.exists())
        .map(|path| Sentence {
            seconds: read_wav(&path).expect("a sample").len() as f64 / f64::from(SAMPLE_RATE),
            path,
        })
        .filter(|sentence| sentence.seconds <= f64::from(LONGEST_S))
        .collect();
    sentences.sort_by(|a, b| a.path.cmp(&b.path));
    let step = sentences.len().div_ceil(SENTENCES).max(1);
    sentences.into_iter().step_by(step).collect()
}

//! From the end of speech to the answer: pauses that fit what was said, heard while they last, against a pause of
//! 0.6 s whatever was said, after which it is heard. Both hear the same phrases by turns.

use std::path::Path;
use std::sync::Arc;

use couchside::error::Result;
use couchside::evaluate::{Case, find};
use couchside::finding::{Finding, Outcome};
use couchside::grammar::Grammar;
use couchside::hear::model::path_of;
use couchside::hear::{Heard, Recogniser, SAMPLE_RATE, Settings, read_wav};
use couchside::interpret::Interpreter;
use couchside::pipeline::{Listener, Scribe};

use crate::idle::noise;

/// Seconds of a quiet room after each phrase: longer than any pause.
const AFTER_S: usize = 2;

const KINDS: [&str; 3] = ["whole findings", "control words", "all others"];

/// Milliseconds of the answers, by kind.
type Times = [Vec<f64>; KINDS.len()];

/// A row for each kind of phrase.
pub fn table() {
    let model = match path_of(Some("tiny.en-joints")) {
        Ok(model) => model,
        Err(error) => return println!("\n{error}"),
    };
    let grammar = Arc::new(Grammar::carried().expect("the grammar loads"));
    let listener = || Listener::new(Recogniser::load(&model, grammar.clone()).expect("the model loads"));
    let fixed = Settings {
        begun_s: 0.6,
        ..Settings::fixed(0.6)
    };
    let mut ways = [listener().cutting(fixed), listener()];
    let mut times: [Times; 2] = Default::default();
    for (turn, case) in phrases().iter().enumerate() {
        let mut sound = read_wav(&case.speech()).expect("a sample");
        sound.extend(noise(AFTER_S * SAMPLE_RATE as usize, 0.0003));
        for way in 0..2 {
            let way = (turn + way) % 2;
            let mut answers = Answers {
                interpreter: case.interpreter(&grammar),
                times: &mut times[way],
            };
            ways[way].recording(&sound, &mut answers).expect("it is heard");
        }
    }
    println!("\nfrom the end of speech to the answer, ms    fixed pause       fitting pause");
    println!(
        "{:28} {:>8} {:>10} {:>7} {:>10} {:>7}",
        "", "phrases", "median", "p95", "median", "p95"
    );
    for (kind, name) in KINDS.iter().enumerate() {
        let [fixed, fitting] = times.each_ref().map(|times| {
            let of = &times[kind];
            (quantile(of, 0.5), quantile(of, 0.95))
        });
        println!(
            "{name:28} {:8} {:10.0} {:7.0} {:10.0} {:7.0}",
            times[1][kind].len(),
            fixed.0,
            fixed.1,
            fitting.0,
            fitting.1
        );
    }
}

/// The samples that are one utterance.
fn phrases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("audio-samples");
    let folders = find(&folder).expect("the samples");
    let cases = folders.iter().map(|folder| Case::read(folder).expect("a case"));
    cases.filter(|case| !case.continuous).collect()
}

/// Notes how long each answer took.
struct Answers<'a> {
    interpreter: Interpreter,
    times: &'a mut Times,
}

impl Scribe for Answers<'_> {
    fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    fn take(&mut self, heard: &Heard) -> Result<()> {
        let reading = self.interpreter.choose(heard).reading;
        self.interpreter.follow(&reading);
        let kind = match &reading.outcome {
            Outcome::Finding { findings } if findings.iter().all(Finding::is_settled) => 0,
            Outcome::Control { .. } => 1,
            _ => 2,
        };
        self.times[kind].extend(heard.answered_s.map(|seconds| seconds * 1000.0));
        Ok(())
    }
}

/// The value below which a part of the values lies.
fn quantile(values: &[f64], part: f64) -> f64 {
    let mut ascending = values.to_vec();
    ascending.sort_by(f64::total_cmp);
    let last = ascending.len().saturating_sub(1);
    ascending
        .get((last as f64 * part).round() as usize)
        .copied()
        .unwrap_or(f64::NAN)
}

//! One way of hearing, in a process of its own.

use std::io::Write;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use couchside::grammar::Grammar;
use couchside::hear::engine::{Engine, Window};
use couchside::hear::{Recogniser, SAMPLE_RATE, Utterance, read_wav};

/// A way to hear a sentence.
pub enum Way {
    /// The likeliest words, without a grammar.
    Plain(Window),
    /// What the program does with an utterance: the grammar's sentences and the free transcript.
    Search,
}

/// The baseline comes first, the search last.
pub const WAYS: [(&str, Way); 3] = [
    ("full window", Way::Plain(Window::Full)),
    ("fitted window", Way::Plain(Window::Fitted)),
    ("grammar search", Way::Search),
];

/// A way with its model loaded.
enum Listener {
    Plain(Box<Engine>, Window),
    Search(Box<Recogniser>),
}

impl Listener {
    fn load(way: &Way, model: &Path) -> Listener {
        match way {
            Way::Plain(window) => {
                Listener::Plain(Box::new(Engine::load(model).expect("the model loads")), *window)
            }
            Way::Search => {
                let grammar = Arc::new(Grammar::carried().expect("the grammar loads"));
                Listener::Search(Box::new(
                    Recogniser::load(model, grammar).expect("the model loads"),
                ))
            }
        }
    }

    /// Hears a sentence and returns the milliseconds that it took.
    fn hear(&mut self, samples: Vec<f32>) -> f64 {
        let utterance = Utterance {
            start_s: 0.0,
            end_s: samples.len() as f64 / f64::from(SAMPLE_RATE),
            samples,
        };
        let began = Instant::now();
        match self {
            Listener::Plain(engine, window) => {
                engine.encode(&utterance.samples, *window).expect("an encoding");
                std::hint::black_box(engine.transcribe(usize::MAX).expect("a transcript"));
            }
            Listener::Search(recogniser) => {
                std::hint::black_box(recogniser.hear(&utterance).expect("sentences"));
            }
        }
        began.elapsed().as_secs_f64() * 1000.0
    }
}

/// Says `ready` when it can listen, answers each path that it is given with the milliseconds of the hearing, and
/// ends with its peak memory in KiB, or `–` where the system does not tell.
pub fn listen((_, way): &(&str, Way), model: &Path) {
    let mut listener = Listener::load(way, model);
    say("ready");
    for path in std::io::stdin().lines() {
        let samples = read_wav(Path::new(&path.expect("a path"))).expect("a sample");
        say(&listener.hear(samples).to_string());
    }
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    say(peak.map_or("–", |kib| kib.trim_end_matches("kB").trim()));
}

fn say(line: &str) {
    let mut out = std::io::stdout();
    writeln!(out, "{line}")
        .and_then(|()| out.flush())
        .expect("the parent reads");
}

//! Measures the ways of hearing by turns.

use std::io::{BufRead, BufReader, Lines, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Instant;

use crate::Sentence;
use crate::child::WAYS;

/// How often the start is measured.
const STARTS: usize = 5;

/// What was measured of one way.
#[derive(Default)]
pub struct Measured {
    /// Milliseconds from the start of the process until it can listen, for each start.
    pub start_ms: Vec<f64>,
    /// Milliseconds for each sentence.
    pub decode_ms: Vec<f64>,
    /// Decoding time for a second of sound.
    pub real_time_factor: f64,
    /// Peak memory in MB, where the system tells.
    pub memory_mb: Option<f64>,
}

/// Measures every way with one model, in the order of [`WAYS`].
pub fn model(path: &Path, sentences: &[Sentence]) -> Vec<Measured> {
    // Reading the file once warms the disk's cache.
    std::fs::read(path).expect("the model file");
    let mut measured: Vec<Measured> = WAYS.iter().map(|_| Measured::default()).collect();
    for _ in 1..STARTS {
        for (way, measured) in measured.iter_mut().enumerate() {
            Listening::begin(path, way, measured).end();
        }
    }
    let mut listening: Vec<Listening> = measured
        .iter_mut()
        .enumerate()
        .map(|(way, measured)| Listening::begin(path, way, measured))
        .collect();
    for (turn, sentence) in sentences.iter().enumerate() {
        for way in 0..WAYS.len() {
            // Nobody always comes after the same one.
            let way = (turn + way) % WAYS.len();
            measured[way].decode_ms.push(listening[way].hear(sentence));
        }
    }
    let sound_s: f64 = sentences.iter().map(|sentence| sentence.seconds).sum();
    for (measured, listening) in measured.iter_mut().zip(listening) {
        measured.real_time_factor = measured.decode_ms.iter().sum::<f64>() / 1000.0 / sound_s;
        measured.memory_mb = listening.end();
    }
    measured
}

/// A child process that is ready to hear.
struct Listening {
    child: Child,
    to: ChildStdin,
    from: Lines<BufReader<ChildStdout>>,
}

impl Listening {
    /// Starts the child and notes how long it took.
    fn begin(model: &Path, way: usize, measured: &mut Measured) -> Listening {
        let program = std::env::current_exe().expect("this program's path");
        let began = Instant::now();
        let mut child = Command::new(program)
            .arg(way.to_string())
            .arg(model)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("a child process");
        let mut listening = Listening {
            to: child.stdin.take().expect("the child's input"),
            from: BufReader::new(child.stdout.take().expect("the child's output")).lines(),
            child,
        };
        assert_eq!(listening.next(), "ready");
        measured.start_ms.push(began.elapsed().as_secs_f64() * 1000.0);
        listening
    }

    /// Milliseconds that the child took to hear the sentence.
    fn hear(&mut self, sentence: &Sentence) -> f64 {
        writeln!(self.to, "{}", sentence.path.display()).expect("the child reads");
        self.next().parse().expect("milliseconds")
    }

    /// Ends the child; its peak memory in MB.
    fn end(self) -> Option<f64> {
        let Listening {
            mut child,
            to,
            mut from,
        } = self;
        drop(to);
        let peak = from.next().and_then(Result::ok).expect("the child's memory");
        assert!(child.wait().expect("the child ends").success());
        peak.parse::<f64>().ok().map(|kib| kib * 1024.0 / 1e6)
    }

    fn next(&mut self) -> String {
        self.from
            .next()
            .and_then(Result::ok)
            .expect("a line of the child")
    }
}

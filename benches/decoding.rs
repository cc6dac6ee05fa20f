//! How fast, and in how much memory, the recogniser hears: one table, for every installed model.
//!
//! ```text
//! cargo bench --bench decoding
//! ```
//! Every row is a process of its own, so that its peak memory is its own. The rows of the full window are plain
//! Whisper, the baseline; the ratios say what the others save against it in the same run.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

use couchside::hear::engine::{Engine, LONGEST_S, Window};

/// Models that get rows if they are installed.
const MODELS: [&str; 2] = ["tiny.en", "base"];
/// Sentences that each row decodes, spread over the samples.
const SENTENCES: usize = 24;

/// One way to decode a sentence; the baseline comes first.
const WAYS: [(&str, Window); 2] = [("full window", Window::Full), ("fitted window", Window::Fitted)];

/// What a child process measured.
struct Row {
    /// Milliseconds from the start of the process until it can listen.
    start_up_ms: f64,
    /// Milliseconds for each sentence, ascending.
    decode_ms: Vec<f64>,
    /// Decoding time for a second of sound.
    real_time_factor: f64,
    /// Peak memory in MiB, where the system tells.
    memory_mib: Option<f64>,
}

fn main() {
    // Cargo passes `--bench`; a child gets the model, the way and the sounds.
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| argument != "--bench")
        .collect();
    match arguments.as_slice() {
        [model, way, sounds @ ..] if way.parse::<usize>().is_ok_and(|way| way < WAYS.len()) => {
            child(
                Path::new(model),
                WAYS[way.parse::<usize>().unwrap_or(0)].1,
                sounds,
            );
        }
        _ => table(),
    }
}

/// Prints the table.
fn table() {
    let sounds = sounds();
    println!("{} sentences of audio-samples, one thread\n", sounds.len());
    println!(
        "{:8} {:14} {:>9} {:>8} {:>10} {:>8} {:>9}   against the full window",
        "model", "decoding", "median ms", "p95 ms", "× realtime", "MiB", "start ms"
    );
    let mut rows = 0;
    for name in MODELS {
        let model = models_folder().join(format!("ggml-{name}.bin"));
        // Reading it once warms the disk's cache.
        if std::fs::read(&model).is_err() {
            continue;
        }
        let mut baseline: Option<Row> = None;
        for (way, (title, _)) in WAYS.iter().enumerate() {
            let row = measure(&model, way, &sounds);
            let memory = row.memory_mib.map_or("–".to_owned(), |mib| format!("{mib:.0}"));
            let ratio = baseline.as_ref().map_or(String::new(), |full| {
                let times = quantile(&full.decode_ms, 0.5) / quantile(&row.decode_ms, 0.5);
                let less = full.memory_mib.zip(row.memory_mib).map(|(full, own)| own / full);
                format!(
                    "{times:.1} times as fast{}",
                    less.map_or(String::new(), |m| format!(", memory × {m:.2}"))
                )
            });
            println!(
                "{name:8} {title:14} {:9.0} {:8.0} {:10.3} {memory:>8} {:9.0}   {ratio}",
                quantile(&row.decode_ms, 0.5),
                quantile(&row.decode_ms, 0.95),
                row.real_time_factor,
                row.start_up_ms
            );
            baseline.get_or_insert(row);
            rows += 1;
        }
    }
    assert!(
        rows > 0,
        "there is no model in {}: run make model first",
        models_folder().display()
    );
}

/// Runs a child and reads what it prints: `ready`, then a line for each sentence, then its memory.
fn measure(model: &Path, way: usize, sounds: &[PathBuf]) -> Row {
    let program = std::env::current_exe().expect("this program's path");
    let began = Instant::now();
    let mut child = Command::new(program)
        .arg(model)
        .arg(way.to_string())
        .args(sounds)
        .stdout(Stdio::piped())
        .spawn()
        .expect("a child process starts");
    let mut lines = BufReader::new(child.stdout.take().expect("the child's output")).lines();
    let mut next = || lines.next().and_then(Result::ok).expect("a line of the child");
    assert_eq!(next(), "ready");
    let start_up_ms = began.elapsed().as_secs_f64() * 1000.0;
    let (mut decode_ms, mut decoding_s, mut sound_s) = (Vec::new(), 0.0, 0.0);
    for _ in sounds {
        let line = next();
        let (ms, seconds) = line.split_once(' ').expect("two numbers");
        let (ms, seconds): (f64, f64) = (ms.parse().expect("ms"), seconds.parse().expect("seconds"));
        decode_ms.push(ms);
        decoding_s += ms / 1000.0;
        sound_s += seconds;
    }
    let memory_mib = next().parse::<f64>().ok().map(|kib| kib / 1024.0);
    assert!(child.wait().expect("the child ends").success());
    decode_ms.sort_by(f64::total_cmp);
    Row {
        start_up_ms,
        decode_ms,
        real_time_factor: decoding_s / sound_s,
        memory_mib,
    }
}

/// Loads the model and decodes the sounds, telling the parent how long each took.
fn child(model: &Path, window: Window, sounds: &[String]) {
    let mut engine = Engine::load(model).expect("the model loads");
    let mut out = std::io::stdout();
    writeln!(out, "ready")
        .and_then(|()| out.flush())
        .expect("the parent reads");
    for sound in sounds {
        let samples = read_wav(Path::new(sound));
        let began = Instant::now();
        engine.encode(&samples, window).expect("the sound is taken in");
        let heard = engine.transcribe(usize::MAX).expect("the sound is transcribed");
        std::hint::black_box(heard);
        let ms = began.elapsed().as_secs_f64() * 1000.0;
        writeln!(out, "{ms} {}", samples.len() as f64 / 16_000.0).expect("the parent reads");
    }
    // Linux keeps the peak of the resident memory, in KiB.
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    writeln!(
        out,
        "{}",
        peak.map_or("–", |kib| kib.trim_end_matches("kB").trim())
    )
    .expect("the parent reads");
}

/// The value below which a part of the ascending values lies.
fn quantile(ascending: &[f64], part: f64) -> f64 {
    ascending[((ascending.len() - 1) as f64 * part).round() as usize]
}

/// The samples that are one sentence, at most [`SENTENCES`] spread over all.
fn sounds() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("audio-samples");
    let mut sounds: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("a folder's entry").path().join("speech.wav"))
        .filter(|sound| {
            hound::WavReader::open(sound).is_ok_and(|wav| wav.duration() as f32 <= LONGEST_S * 16_000.0)
        })
        .collect();
    sounds.sort();
    let step = sounds.len().div_ceil(SENTENCES).max(1);
    sounds.into_iter().step_by(step).collect()
}

fn models_folder() -> PathBuf {
    let own = || {
        directories::ProjectDirs::from("", "", "couchside")
            .expect("a home folder")
            .data_dir()
            .join("models")
    };
    std::env::var_os("COUCHSIDE_MODELS").map_or_else(own, PathBuf::from)
}

fn read_wav(path: &Path) -> Vec<f32> {
    let mut wav = hound::WavReader::open(path).expect("a WAV file");
    assert_eq!(wav.spec().sample_rate, 16_000, "{}", path.display());
    wav.samples::<i16>()
        .map(|sample| f32::from(sample.expect("a sample")) / 32768.0)
        .collect()
}

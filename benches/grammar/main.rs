//! How fast the vocabulary is built and phrases are read, and how both grow when the vocabulary doubles.

mod doubled;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use couchside::grammar::{Grammar, Source};
use couchside::interpret::Interpreter;
use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The phrases of the golden cases.
fn phrases() -> Vec<String> {
    let mut phrases = Vec::new();
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root().join("tests/cases"))
        .expect("tests/cases is there")
        .map(|entry| entry.expect("it can be read").path())
        .collect();
    paths.sort();
    for path in paths {
        let text = std::fs::read_to_string(path).expect("a file of cases can be read");
        let file: toml::Value = toml::from_str(&text).expect("cases are TOML");
        let cases = file["case"].as_array().expect("a list of cases");
        phrases.extend(
            cases
                .iter()
                .filter_map(|case| case.get("heard")?.as_str().map(str::to_string)),
        );
    }
    phrases
}

fn grammar(folder: &Path) -> Grammar {
    Grammar::load(&Source::folder(folder).expect("the folder can be read")).expect("the grammar is right")
}

fn bench(criterion: &mut Criterion) {
    let twice = tempfile::tempdir().expect("a folder can be made");
    doubled::write(&root().join("grammars"), twice.path());
    let phrases = phrases();
    for (name, folder) in [
        ("carried", root().join("grammars")),
        ("doubled", twice.path().to_path_buf()),
    ] {
        let (nodes, fragments) = grammar(&folder).automaton.size();
        println!(
            "{name}: {nodes} nodes, {fragments} meanings, {} phrases read",
            phrases.len()
        );
        let source = Source::folder(&folder).expect("the folder can be read");
        let mut building = criterion.benchmark_group("building the automaton");
        building.sample_size(10);
        building.bench_function(BenchmarkId::from_parameter(name), |bencher| {
            bencher.iter(|| Grammar::load(&source).expect("the grammar is right"));
        });
        building.finish();
        let interpreter = Interpreter::new(Arc::new(grammar(&folder)));
        let mut reading = criterion.benchmark_group("reading every phrase of the golden cases");
        reading.sample_size(10);
        reading.throughput(Throughput::Elements(phrases.len() as u64));
        reading.bench_function(BenchmarkId::from_parameter(name), |bencher| {
            bencher.iter_batched(
                || interpreter.clone(),
                |interpreter| {
                    for phrase in &phrases {
                        std::hint::black_box(interpreter.peek(phrase));
                    }
                },
                BatchSize::LargeInput,
            );
        });
        reading.finish();
        println!(
            "{name}: a phrase is read in {:.1} µs (median)",
            median(&interpreter, &phrases)
        );
    }
}

/// The time of the middle phrase, in microseconds; each is the best of five, so that other programs do not count.
fn median(interpreter: &Interpreter, phrases: &[String]) -> f64 {
    let time = |phrase: &String| {
        (0..5)
            .map(|_| {
                let start = std::time::Instant::now();
                std::hint::black_box(interpreter.peek(phrase));
                start.elapsed().as_secs_f64() * 1e6
            })
            .fold(f64::INFINITY, f64::min)
    };
    let mut times: Vec<f64> = phrases.iter().map(time).collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

criterion_group!(benches, bench);
criterion_main!(benches);

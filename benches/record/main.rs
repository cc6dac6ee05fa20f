//! What a record costs that has grown: appending, opening a case, searching, rebuilding, verifying and copying it.
//!
//! ```text
//! cargo bench --bench record [-- FINDINGS…]
//! ```
//! 10,000 and 100,000 findings if nothing else is said; a million takes half an hour and 4 GB of disk. It measures and fails
//! nothing.

mod generate;
mod measure;

use std::sync::Arc;

use couchside::grammar::Grammar;
use couchside::record::{Passphrase, Record};
use indicatif::{ProgressBar, ProgressStyle};

/// A key instead of a passphrase, from which one is made slowly on purpose.
fn passphrase() -> Passphrase {
    Passphrase::new(format!("x'{}'", "0123456789abcdef".repeat(6))).expect("not empty")
}

fn main() {
    let asked: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let sizes = if asked.is_empty() {
        vec![10_000, 100_000]
    } else {
        asked
    };
    let grammar = Arc::new(Grammar::carried().expect("the grammar loads"));
    let pool = generate::pool(grammar.clone());
    println!(
        "{}, seed {}, findings drawn from {}",
        jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M"),
        generate::SEED,
        pool.len()
    );
    println!("{}", measure::HEAD);
    for findings in sizes {
        let folder = tempfile::tempdir().expect("a folder");
        let lines = folder.path().join("record.jsonl");
        let style =
            ProgressStyle::with_template("{msg:20} {bar:40} {pos} of {len}, {eta} left").expect("a template");
        let progress = ProgressBar::new(findings as u64)
            .with_style(style)
            .with_message("inventing findings");
        generate::record(&lines, findings, &pool, &progress);
        progress.finish_and_clear();
        let home = folder.path().join("home");
        let began = std::time::Instant::now();
        Record::import(&lines, &home, &passphrase()).expect("it is taken in");
        let import_s = began.elapsed().as_secs_f64();
        std::fs::remove_file(&lines).expect("it is there");
        println!("{}", measure::row(&home, findings, import_s, &pool, &grammar));
    }
}

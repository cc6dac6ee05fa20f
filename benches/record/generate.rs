//! Large records: invented clients, whose findings are drawn from the golden cases, written as what `couchside record export` writes.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;

use couchside::finding::{Finding, Outcome};
use couchside::grammar::Grammar;
use couchside::interpret::Interpreter;
use indicatif::ProgressBar;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// The same records every time.
pub const SEED: u64 = 20_261_127;
/// Findings of a visit, and of a client: a practice of some years.
const OF_VISIT: usize = 20;
const OF_CLIENT: usize = 100;

/// A finding and the words that it was read from.
pub type Said = (Finding, String);

/// The findings of the golden cases that are complete, each once.
pub fn pool(grammar: std::sync::Arc<Grammar>) -> Vec<Said> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("tests/cases is there")
        .map(|entry| entry.expect("it can be read").path())
        .collect();
    paths.sort();
    let mut pool = Vec::new();
    for path in paths {
        let text = std::fs::read_to_string(path).expect("a file of cases can be read");
        let file: toml::Value = toml::from_str(&text).expect("cases are TOML");
        let cases = file["case"].as_array().expect("a list of cases").iter();
        for words in cases.filter_map(|case| case.get("heard")?.as_str()) {
            if let Outcome::Finding { findings } = Interpreter::new(grammar.clone()).read(words).outcome {
                pool.extend(
                    findings
                        .into_iter()
                        .filter(Finding::is_settled)
                        .map(|finding| (finding, words.to_owned())),
                );
            }
        }
    }
    pool
}

/// Knuth's generator for 64 bits.
pub struct Random(pub u64);

impl Random {
    pub fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }
}

/// The lines of a record, each act with its hash.
struct Lines<'a> {
    out: BufWriter<File>,
    acts: usize,
    prior: String,
    progress: &'a ProgressBar,
}

impl Lines<'_> {
    fn act(&mut self, what: &str, body: &Value) {
        self.acts += 1;
        // A minute a finding, two acts each.
        let at = jiff::Timestamp::from_second(1_600_000_000 + 30 * self.acts as i64).expect("a time");
        let (at, body) = (format!("{at:.3}"), body.to_string());
        let digest = Sha256::digest(format!("{}\n{at}\n{what}\n{body}", self.prior));
        let hash: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        let line = json!({
            "id": self.acts, "at": at, "what": what, "body": body, "prior": self.prior, "hash": hash,
        });
        writeln!(self.out, "{line}").expect("it can be written");
        self.prior = hash;
    }
}

/// Writes a record of so many findings.
pub fn record(to: &Path, findings: usize, pool: &[Said], progress: &ProgressBar) {
    let mut random = Random(SEED);
    let mut lines = Lines {
        out: BufWriter::new(File::create(to).expect("it can be made")),
        acts: 0,
        prior: "0".repeat(64),
        progress,
    };
    writeln!(lines.out, "{}", json!({ "couchside_record": 1 })).expect("it can be written");
    lines.act("record made", &json!({ "program": "benchmark" }));
    let (mut client, mut visit) = (0, 0);
    let day: jiff::civil::Date = "2018-01-01".parse().expect("a date");
    for id in 1..=findings {
        if (id - 1) % OF_CLIENT == 0 {
            client += 1;
            lines.act("client added", &json!({ "client": client, "code": code(client) }));
        }
        if (id - 1) % OF_VISIT == 0 {
            visit += 1;
            let date = day.saturating_add(jiff::ToSpan::days(random.below(3000) as i64));
            lines.act(
                "visit opened",
                &json!({ "visit": visit, "client": client, "date": date.to_string() }),
            );
        }
        let (finding, heard) = &pool[random.below(pool.len())];
        let mut finding = finding.clone();
        if let Some(degrees) = &mut finding.degrees {
            degrees.to = (degrees.to - 10 + random.below(20) as i32).max(-30);
        }
        lines.act(
            "proposed",
            &json!({
                "proposal": id, "visit": visit, "finding": finding, "heard": heard, "model": "tiny.en-joints", "grammar": "0123456789ab",
            }),
        );
        lines.act(
            "confirmed",
            &json!({ "id": id, "proposal": id, "visit": visit, "finding": finding }),
        );
        lines.progress.inc(1);
    }
    lines.out.flush().expect("it can be written");
}

/// The code of a client by its number.
pub fn code(client: usize) -> String {
    format!("P-{client}")
}

/// How many clients so many findings have.
pub fn clients(findings: usize) -> usize {
    findings.div_ceil(OF_CLIENT)
}

//! One row of the table.

use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use couchside::finding::Finding;
use couchside::grammar::Grammar;
use couchside::readback::{Proposal, Settle, Step};
use couchside::record::{Record, Source};
use couchside::review::query;
use rusqlite::Connection;

use super::generate::{Random, SEED, Said, clients, code};
use super::passphrase;

/// Times are medians in milliseconds, but for those in seconds.
pub const HEAD: &str = concat!(
    "                append, ms                    case    search, ms, the first 20              rebuild   verify   backup   import   file, bytes\n",
    "findings      confirm  bare insert  ratio       ms  structured  common   words  phrase         s        s        s        s   per finding",
);

/// So often what is short is measured.
const TIMES: usize = 100;
/// So many findings are confirmed: the first hundred meet cold pages.
const CONFIRMED: usize = 1000;

/// Measures a record.
pub fn row(home: &Path, findings: usize, import_s: f64, pool: &[Said], grammar: &Grammar) -> String {
    let size = std::fs::metadata(home.join("record.db")).expect("the file").len();
    let mut record = Record::open(home, &passphrase()).expect("it opens");
    let mut random = Random(SEED + 1);
    let case_ms = median_ms(TIMES, || {
        let client = code(1 + random.below(clients(findings)));
        record.case(&client).expect("a case");
    });
    let searched = |words: &str| {
        let wanted = query(grammar, words);
        median_ms(TIMES / 10, || {
            let mut seen = 0;
            let page = |_| {
                seen += 1;
                match seen > 20 {
                    true => ControlFlow::Break(()),
                    false => ControlFlow::Continue(()),
                }
            };
            record.search(&wanted, page).expect("it can be searched");
        })
    };
    let structured_ms = searched("right hip internal rotation passive < 30 painful");
    let common_ms = searched("hip painful");
    let words_ms = searched("stairs");
    let phrase_ms = searched("\"since monday\"");
    let (confirm_ms, insert_ms) = appended(&mut record, home, pool);
    let began = Instant::now();
    record.rebuild(|_, _| {}).expect("it is made anew");
    let rebuild_s = began.elapsed().as_secs_f64();
    let began = Instant::now();
    record.verify().expect("it is whole");
    let verify_s = began.elapsed().as_secs_f64();
    let began = Instant::now();
    record
        .back_up(&home.join("copy.db"), &passphrase())
        .expect("it is copied");
    let backup_s = began.elapsed().as_secs_f64();
    format!(
        "{findings:8} {confirm_ms:12.2} {insert_ms:12.2} {:6.2} {case_ms:8.1} {structured_ms:11.1} {common_ms:7.1} {words_ms:7.1} {phrase_ms:7.1} \
         {rebuild_s:9.1} {verify_s:8.1} {backup_s:8.1} {import_s:8.1} {:13.0}",
        confirm_ms / insert_ms,
        size as f64 / findings as f64
    )
}

/// A confirmation, and by turns a bare insert of as much text into an encrypted database of its own, with the same care for the
/// disk.
fn appended(record: &mut Record, home: &Path, pool: &[Said]) -> (f64, f64) {
    let bare = Connection::open(home.join("bare.db")).expect("a database");
    bare.execute_batch(
        "PRAGMA key = 'a bare database'; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = 1;
         CREATE TABLE rows (id INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT",
    )
    .expect("it is made");
    let visit = record.visit_for("P-1").expect("a visit");
    let (mut confirms, mut inserts) = (Vec::new(), Vec::new());
    for (finding, heard) in pool.iter().cycle().take(CONFIRMED) {
        let source = Source {
            words: heard.clone(),
            model: "tiny.en-joints".into(),
            grammar: "0123456789ab".into(),
        };
        let id = record.propose(visit, finding, &source).expect("it waits");
        let confirmed = confirmed(id, finding, heard);
        let began = Instant::now();
        record.confirm(visit, &confirmed).expect("it is recorded");
        confirms.push(began.elapsed().as_secs_f64() * 1000.0);
        let text = serde_json::to_string(finding).expect("JSON");
        let began = Instant::now();
        bare.execute("INSERT INTO rows (text) VALUES (?1)", [text])
            .expect("it is written");
        inserts.push(began.elapsed().as_secs_f64() * 1000.0);
    }
    (median(confirms), median(inserts))
}

fn confirmed(id: i64, finding: &Finding, heard: &str) -> couchside::readback::Confirmed {
    let mut settle = Settle::default();
    settle.propose(Proposal {
        id,
        finding: finding.clone(),
        heard: heard.to_owned(),
    });
    match settle.confirm() {
        Step::Confirmed(mut all) => all.remove(0),
        other => panic!("not confirmed: {other:?}"),
    }
}

fn median_ms(times: usize, mut run: impl FnMut()) -> f64 {
    let measured = (0..times).map(|_| {
        let began = Instant::now();
        run();
        began.elapsed().as_secs_f64() * 1000.0
    });
    median(measured.collect())
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

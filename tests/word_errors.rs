//! The word error rate against an outside program's: 200 pairs with the rate that PyPI's jiwer gives them.

use std::path::Path;

use couchside::hear::word_errors::WordErrors;

#[test]
fn every_rate_is_the_one_that_jiwer_gives() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/jiwer_pairs.tsv");
    let table = std::fs::read_to_string(&path).expect("tests/outside/jiwer_pairs.tsv");
    let lines: Vec<&str> = table
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .collect();
    assert!(lines.len() >= 200, "only {} pairs", lines.len());
    for line in lines {
        let [said, heard, rate] = line.split('\t').collect::<Vec<_>>()[..] else {
            panic!("not three columns: {line}");
        };
        let rate: f64 = rate.parse().expect("a rate");
        let said: Vec<&str> = said.split_whitespace().collect();
        let ours = WordErrors::between(&said, &heard.split_whitespace().collect::<Vec<_>>()).rate();
        assert!(
            (ours - rate).abs() < 1e-6,
            "jiwer says {rate}, we say {ours}: {line}"
        );
    }
}

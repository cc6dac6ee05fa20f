//! Whatever is said in whatever order, the record agrees with a model that is a few lists.

use std::cell::RefCell;

use couchside::finding::{Finding, Kind, Pain, Side};
use couchside::record::RecordError;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestCaseError, TestRunner};

use super::*;

#[derive(Clone, Debug)]
enum Op {
    Propose(Finding, String),
    Correct(usize, Finding, String),
    Disregard(usize),
    Confirm(usize),
    CorrectFinding(usize, usize),
    Withdraw(usize),
}

#[derive(Clone, Debug)]
struct Proposed {
    id: i64,
    finding: Finding,
    heard: String,
    waits: bool,
}

fn finding() -> impl Strategy<Value = Finding> {
    let movement =
        (any::<bool>(), -20..180, proptest::option::of(0u8..=10)).prop_map(|(left, degrees, score)| {
            let mut finding = flexion(if left { Side::Left } else { Side::Right }, degrees);
            finding.pain = score.map(|score| Pain {
                felt: true,
                score: Some(score),
                when: None,
                arc: None,
            });
            finding
        });
    let note = any::<String>().prop_map(|text| {
        let mut finding = Finding::new(Kind::Note);
        finding.text = Some(text);
        finding
    });
    let girth = (0..1000u32).prop_map(|halves| {
        let mut finding = Finding::new(Kind::Girth);
        finding.girth_cm = Some(f64::from(halves) / 2.0);
        finding
    });
    prop_oneof![3 => movement, 1 => note, 1 => girth]
}

fn op() -> impl Strategy<Value = Op> {
    prop_oneof![
        3 => (finding(), "[ -~é\"';°]{0,20}").prop_map(|(finding, heard)| Op::Propose(finding, heard)),
        1 => (0..9usize, finding(), "[a-z ]{0,9}").prop_map(|(n, finding, heard)| Op::Correct(n, finding, heard)),
        1 => (0..9usize).prop_map(Op::Disregard),
        2 => (0..9usize).prop_map(Op::Confirm),
        1 => (0..9usize, 0..9usize).prop_map(|(of, to)| Op::CorrectFinding(of, to)),
        1 => (0..9usize).prop_map(Op::Withdraw),
    ]
}

/// What the lists say must be done, against what the record does.
fn run(record: &mut Record, client: &str, ops: Vec<Op>) -> Result<(), TestCaseError> {
    let visit = record.visit_for(client).unwrap();
    let mut proposals: Vec<Proposed> = Vec::new();
    let mut findings: Vec<(i64, Finding, String)> = Vec::new();
    for op in ops {
        let n = match &op {
            Op::Propose(finding, heard) => {
                let id = record.propose(visit, finding, &source(heard)).unwrap();
                proposals.push(Proposed {
                    id,
                    finding: finding.clone(),
                    heard: heard.clone(),
                    waits: true,
                });
                continue;
            }
            Op::Withdraw(n) => {
                if *n < findings.len() {
                    let (id, finding, _) = findings.remove(*n);
                    let mut settle = Settle::default();
                    settle.ask_back(id, finding);
                    let Step::TakeBack(taken_back) = settle.confirm() else {
                        panic!("it was asked")
                    };
                    record.withdraw(visit, &taken_back).unwrap();
                }
                continue;
            }
            Op::Correct(n, ..) | Op::Disregard(n) | Op::Confirm(n) | Op::CorrectFinding(_, n) => *n,
        };
        let Some(proposed) = proposals.get_mut(n) else {
            continue;
        };
        let waited = proposed.waits;
        let said = confirmed(proposed.id, &proposed.finding, &proposed.heard);
        let done = match op {
            Op::Propose(..) | Op::Withdraw(_) => unreachable!("handled above"),
            Op::Correct(_, finding, heard) => {
                record.correct_proposal(proposed.id, &finding, &heard).map(|()| {
                    proposed.heard += &format!("; {heard}");
                    proposed.finding = finding;
                })
            }
            Op::Disregard(_) => record.disregard(proposed.id).map(|()| proposed.waits = false),
            Op::Confirm(_) => record.confirm(visit, &said).map(|recorded| {
                proposed.waits = false;
                findings.push((recorded.id, proposed.finding.clone(), proposed.heard.clone()));
            }),
            Op::CorrectFinding(of, _) => {
                let Some(kept) = findings.get_mut(of) else {
                    continue;
                };
                record.correct_finding(kept.0, &said).map(|recorded| {
                    proposed.waits = false;
                    *kept = (recorded.id, proposed.finding.clone(), proposed.heard.clone());
                })
            }
        };
        match done {
            Ok(()) => prop_assert!(waited),
            Err(error) => prop_assert!(!waited && matches!(error, RecordError::NotWaiting), "{error}"),
        }
    }
    record.verify().unwrap();
    let case = record.case(client).unwrap();
    let kept: Vec<_> = case.visits[0]
        .findings
        .iter()
        .cloned()
        .map(|k| (k.id, k.finding, k.heard))
        .collect();
    prop_assert_eq!(kept, findings);
    let waiting: Vec<_> = record
        .pending(visit)
        .unwrap()
        .into_iter()
        .map(|p| (p.id, p.finding, p.heard))
        .collect();
    let expected: Vec<_> = proposals
        .into_iter()
        .filter(|p| p.waits)
        .map(|p| (p.id, p.finding, p.heard))
        .collect();
    prop_assert_eq!(waiting, expected);
    Ok(())
}

#[test]
fn any_sequence_agrees_with_the_model() {
    let (_home, record) = new_record();
    let state = RefCell::new((record, 0));
    // Each case is a client of its own in one record: making a record is slow on purpose.
    let config = Config {
        cases: 48,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new(config)
        .run(&proptest::collection::vec(op(), 0..24), |ops| {
            let (record, client) = &mut *state.borrow_mut();
            *client += 1;
            run(record, &format!("client-{client}"), ops)
        })
        .unwrap();
}

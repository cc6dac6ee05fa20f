//! The history of a client: every act, nobody else's, in order.

use couchside::record::What;

use super::*;

#[test]
fn every_act_is_told_in_order() {
    let (_home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let other = record.visit_for("P-13").unwrap();
    let (ten, five) = (flexion(Side::Right, 110), flexion(Side::Right, 105));
    let left = flexion(Side::Left, 90);

    let first = record
        .propose(visit, &ten, &source("right hip flexion active one ten"))
        .unwrap();
    record_one(&mut record, other, &left, "somebody else");
    record
        .correct_proposal(first, &five, "correction one oh five")
        .unwrap();
    let id = record.confirm(visit, &confirmed(first, &five, "")).unwrap().id;
    let second = record.propose(visit, &left, &source("left ninety")).unwrap();
    record.disregard(second).unwrap();
    let mut settle = Settle::default();
    settle.ask_back(id, five.clone());
    let Step::TakeBack(taken_back) = settle.confirm() else {
        panic!("it was asked")
    };
    record.withdraw(visit, &taken_back).unwrap();

    let history = record.history("P-12").unwrap();
    let told: Vec<_> = history
        .iter()
        .map(|done| (done.what, done.id, done.finding.clone(), done.heard.as_deref()))
        .collect();
    assert_eq!(
        told,
        [
            (What::Added, None, None, None),
            (What::Opened, None, None, None),
            (
                What::Proposed,
                None,
                Some(ten),
                Some("right hip flexion active one ten")
            ),
            (
                What::Corrected,
                None,
                Some(five.clone()),
                Some("correction one oh five")
            ),
            (What::Recorded, Some(id), Some(five.clone()), None),
            (What::Proposed, None, Some(left.clone()), Some("left ninety")),
            (What::Disregarded, None, Some(left), None),
            (What::Withdrawn, Some(id), Some(five), None),
        ]
    );
    assert_eq!(record.history("P-13").unwrap().len(), 4);
    assert!(record.history("P-14").is_err());
}

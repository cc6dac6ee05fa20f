//! What is signed off, and what has been kept for as long as it is to be kept.

use std::num::NonZeroU16;

use couchside::record::{ClipOf, Due, RecordError, SoundKept};

use super::*;

/// Two visits of one client with a clip in each; the first is signed.
fn two_visits() -> (TempDir, Record, [i64; 2]) {
    let (home, mut record) = new_record();
    let clips = ["2019-03-01", "2025-11-25"].map(|date| {
        let visit = record.visit_on("P-12", date.parse().unwrap()).unwrap();
        record.allow_sound(visit, true).unwrap();
        record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
        let said = record
            .propose(visit, &flexion(Side::Left, 40), &source("left forty"))
            .unwrap();
        let clip = record
            .keep_sound(visit, ClipOf::Proposal(said), &[0.1; 160])
            .unwrap();
        clip.expect("it is allowed")
    });
    let first = record.case("P-12").unwrap().visits[0].number;
    let first = record.visit_of("P-12", Some(first)).unwrap();
    assert!(matches!(
        record.sign_visit(first, false),
        Err(RecordError::StillWaiting(1))
    ));
    record.sign_visit(first, true).unwrap();
    (home, record, clips)
}

fn years(years: u16) -> Option<NonZeroU16> {
    NonZeroU16::new(years)
}

/// The numbers of clips and of visits that are due so many days from now.
fn due(record: &Record, days: i64, sound: SoundKept, visits: Option<NonZeroU16>) -> (Vec<i64>, Vec<i64>) {
    let then = jiff::ZonedDateTime::now().saturating_add(jiff::ToSpan::days(days));
    let due = record.due_on(&then, sound, visits).unwrap();
    let clips = due.iter().filter_map(|due| match due {
        Due::Sound { clip, .. } => Some(*clip),
        Due::Visit { .. } => None,
    });
    let visits = due.iter().filter_map(|due| match due {
        Due::Visit { visit, .. } => Some(*visit),
        Due::Sound { .. } => None,
    });
    (clips.collect(), visits.collect())
}

#[test]
fn sound_is_due_once_its_visit_is_signed_or_its_days_are_over() {
    let (_home, mut record, clips) = two_visits();
    let thirty = SoundKept::Days(NonZeroU16::new(30).unwrap());
    for (days, sound, expected) in [
        (0, SoundKept::UntilReviewed, &clips[..1]),
        (1000, SoundKept::UntilReviewed, &clips[..1]),
        (29, thirty, &[]),
        (31, thirty, &clips),
    ] {
        assert_eq!(due(&record, days, sound, None).0, expected, "{days} {sound:?}");
    }
    // Nothing is erased by itself, and what was erased is not due.
    assert!(record.sound(clips[0]).is_ok());
    record.erase_sounds(&clips[..1]).unwrap();
    assert_eq!(due(&record, 0, SoundKept::UntilReviewed, None).0, [0; 0]);
    // All or none.
    assert!(record.erase_sounds(&[clips[1], clips[0]]).is_err());
    assert!(record.sound(clips[1]).is_ok());
    record.verify().unwrap();
}

#[test]
fn visits_are_due_after_so_many_years() {
    let (_home, record, _) = two_visits();
    let numbers: Vec<i64> = record
        .case("P-12")
        .unwrap()
        .visits
        .iter()
        .map(|v| v.number)
        .collect();
    let on = |date: &str| {
        let date: jiff::civil::Date = date.parse().unwrap();
        let noon = date.at(12, 0, 0, 0).in_tz("UTC").unwrap();
        record
            .due_on(&noon, SoundKept::UntilReviewed, years(8))
            .unwrap()
            .len()
            - 1
    };
    assert_eq!(
        (
            on("2027-02-28"),
            on("2027-03-01"),
            on("2033-11-24"),
            on("2033-11-25")
        ),
        (0, 1, 1, 2)
    );
    assert_eq!(due(&record, 100_000, SoundKept::UntilReviewed, None).1, [0; 0]);
    assert_eq!(
        due(&record, 100_000, SoundKept::UntilReviewed, years(8)).1,
        numbers
    );
}

#[test]
fn a_signed_visit_is_closed_and_shown_as_signed() {
    let (_home, mut record, _) = two_visits();
    let case = record.case("P-12").unwrap();
    assert!(case.visits[0].signed.is_some() && case.visits[1].signed.is_none());
    let text = couchside::review::case_table(&case);
    assert!(
        text.contains("Visit of 1 March 2019, signed off: one finding"),
        "{text}"
    );
    assert!(text.contains("Visit of 25 November 2025: one finding"), "{text}");
    // The latest that is not signed is meant where none is named.
    let latest = record.visit_of("P-12", None).unwrap();
    assert_eq!(latest.number(), case.visits[1].number);
    record.sign_visit(latest, true).unwrap();
    assert!(matches!(
        record.visit_of("P-12", None),
        Err(RecordError::NoOpenVisit)
    ));
    assert!(matches!(
        record.visit_of("P-12", Some(99)),
        Err(RecordError::NoVisit)
    ));
    record.verify().unwrap();
}

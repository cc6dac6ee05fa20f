//! What is not understood is kept, asked for again once, and then put aside; sound is kept only where the client allows it.

use couchside::hear::{Heard, SAMPLE_RATE};
use couchside::pipeline::Visit;
use couchside::record::Record;

use super::{events, heard, lines, passphrase, visit};

const UNCLEAR: &str = "right hip flexion two fifty";
const AGAIN: [&str; 2] = ["unclear", "said I did not understand that. Please repeat it."];

#[test]
fn what_is_not_understood_twice_is_put_aside() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    assert_eq!(events(&mut visit, UNCLEAR), AGAIN);
    assert_eq!(
        events(&mut visit, UNCLEAR),
        ["unclear", "said Put aside for later."]
    );
    // It counts from the beginning again.
    assert_eq!(events(&mut visit, UNCLEAR), AGAIN);
    events(&mut visit, "right hip flexion active one ten");
    assert_eq!(events(&mut visit, UNCLEAR), AGAIN);
    drop(visit);
    let record = Record::open(home.path(), &passphrase()).expect("it opens");
    let history = record.history("demo-7").expect("a history");
    let unclear = history
        .iter()
        .filter(|done| done.heard.as_deref() == Some(UNCLEAR));
    assert_eq!(unclear.count(), 4);
    // Only what was asked for again in vain is to be looked at.
    let case = record.case("demo-7").expect("the client");
    let to_review: Vec<_> = case.visits[0]
        .to_review
        .iter()
        .map(|one| one.heard.as_str())
        .collect();
    assert_eq!(to_review, [UNCLEAR]);
    record.verify().expect("the record is whole");
}

#[test]
fn a_question_that_is_not_answered_twice_is_put_aside_with_its_finding() {
    let home = tempfile::tempdir().expect("a folder");
    let mut first = visit(home.path());
    events(&mut first, "hip flexion active one ten");
    assert_eq!(events(&mut first, UNCLEAR), AGAIN);
    assert_eq!(
        events(&mut first, UNCLEAR),
        [
            "unclear",
            "put aside hip flexion active: 110°",
            "said Put aside for later."
        ]
    );
    // It stands in the way of nothing, and is not offered any more.
    events(&mut first, "left knee flexion active one twenty");
    assert_eq!(
        events(&mut first, "confirm"),
        [
            "heard",
            "recorded left knee flexion active: 120°",
            "said Recorded."
        ]
    );
    drop(first);
    assert!(visit(home.path()).begin().is_empty());
}

/// A visit in which this was said of sound, and a second of a tone under each utterance.
fn spoken(visit: &mut Visit, words: &str) {
    let mut heard: Heard = heard(words);
    heard.utterance.samples = (0..SAMPLE_RATE).map(|at| (at as f32 * 0.2).sin() * 0.5).collect();
    lines(&visit.take(&heard).expect("the record can be written"));
}

fn kept(home: &std::path::Path) -> usize {
    let record = Record::open(home, &passphrase()).expect("it opens");
    record.verify().expect("the record is whole");
    record.sounds("demo-7").expect("the client").len()
}

#[test]
fn without_consent_no_sound_is_written() {
    for allowed in [None, Some(false)] {
        let home = tempfile::tempdir().expect("a folder");
        let mut visit = visit(home.path()).allow_sound(allowed).expect("it is written");
        for words in [
            "right hip flexion active one ten",
            UNCLEAR,
            "mind the step there",
            "confirm",
        ] {
            spoken(&mut visit, words);
        }
        drop(visit);
        assert_eq!(kept(home.path()), 0);
    }
}

#[test]
fn with_consent_the_sound_of_dictation_is_kept_until_it_is_erased() {
    let home = tempfile::tempdir().expect("a folder");
    let mut first = visit(home.path()).allow_sound(Some(true)).expect("it is written");
    for words in [
        "right hip flexion active one ten",
        UNCLEAR,
        "mind the step there",
        "confirm",
        "confirm",
    ] {
        spoken(&mut first, words);
    }
    drop(first);
    let mut record = Record::open(home.path(), &passphrase()).expect("it opens");
    let clips = record.sounds("demo-7").expect("the client");
    let heard: Vec<_> = clips
        .iter()
        .map(|clip| (clip.heard.as_str(), clip.finding, clip.lasts_s))
        .collect();
    assert_eq!(
        heard,
        [
            ("right hip flexion active one ten", Some(1), 1.0),
            (UNCLEAR, None, 1.0)
        ]
    );
    let sound = record.sound(clips[0].id).expect("it is there");
    assert!(
        sound
            .iter()
            .enumerate()
            .all(|(at, sample)| (sample - (at as f32 * 0.2).sin() * 0.5).abs() < 1e-3)
    );
    record.erase_sounds(&[clips[0].id]).expect("it is erased");
    assert!(record.sound(clips[0].id).is_err() && record.erase_sounds(&[clips[0].id]).is_err());
    record.verify().expect("the record is whole");
    drop(record);
    assert_eq!(kept(home.path()), 1);
    // Said once more in the same visit, it holds from then on.
    let mut second = visit(home.path())
        .allow_sound(Some(false))
        .expect("it is written");
    spoken(&mut second, "left hip flexion active one twenty");
    drop(second);
    assert_eq!(kept(home.path()), 1);
}

/// Behind the record's back: a clip that is changed, gone, or slipped in.
#[test]
fn a_clip_that_is_not_as_it_was_kept_is_found() {
    for sql in [
        "UPDATE clip_sounds SET sound = zeroblob(32000)",
        "DELETE FROM clip_sounds",
        "INSERT INTO clips SELECT 9, visit, proposal, unclear, sha256, at, erased FROM clips",
    ] {
        let home = tempfile::tempdir().expect("a folder");
        let mut visit = visit(home.path()).allow_sound(Some(true)).expect("it is written");
        spoken(&mut visit, "right hip flexion active one ten");
        drop(visit);
        let conn = rusqlite::Connection::open(home.path().join("record.db")).expect("the file");
        conn.pragma_update(None, "key", "a long throw-away passphrase")
            .expect("the key");
        conn.execute(sql, []).expect("it is changed");
        drop(conn);
        let record = Record::open(home.path(), &passphrase()).expect("it opens");
        assert!(record.verify().is_err(), "{sql}");
    }
}

/// Its sound can't be written, as on a disk that fills up: the finding waits, and nobody has heard it said back.
#[test]
fn what_was_written_before_the_disk_refused_is_said_before_it_is_confirmed() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path()).allow_sound(Some(true)).expect("it is written");
    let other = rusqlite::Connection::open(home.path().join("record.db")).expect("the file");
    other
        .pragma_update(None, "key", "a long throw-away passphrase")
        .expect("the key");
    let full = "CREATE TRIGGER full BEFORE INSERT ON clip_sounds BEGIN SELECT RAISE(ABORT, 'no room'); END";
    other.execute_batch(full).expect("it is made");
    visit
        .take(&heard("right hip flexion active one ten"))
        .expect_err("its sound can't be kept");
    other.execute_batch("DROP TRIGGER full").expect("it is gone");
    visit.was_told();
    let waiting = "said Waiting: right hip flexion, active, 110 degrees.";
    assert_eq!(events(&mut visit, "confirm"), ["heard", waiting]);
    visit.was_told();
    assert_eq!(
        events(&mut visit, "confirm")[1],
        "recorded right hip flexion active: 110°"
    );
}

/// Said in two goes, it has two clips; it is put aside once, with the later.
#[test]
fn what_has_several_clips_is_put_aside_once() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path()).allow_sound(Some(true)).expect("it is written");
    for words in ["hip flexion active one ten", "pain free", UNCLEAR, UNCLEAR] {
        spoken(&mut visit, words);
    }
    drop(visit);
    let record = Record::open(home.path(), &passphrase()).expect("it opens");
    let case = record.case("demo-7").expect("the client");
    let parked: Vec<_> = case.visits[0]
        .to_review
        .iter()
        .filter(|one| one.finding.is_some())
        .collect();
    assert_eq!(parked.len(), 1, "{parked:?}");
    assert!(parked[0].clip.is_some());
}

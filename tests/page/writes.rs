//! What is written on the page is in the record, with the same care as by voice.

use std::sync::Arc;

use couchside::finding::{Degrees, Finding, Kind, Mode, Outcome, Side};
use couchside::grammar::Grammar;
use couchside::interpret::Interpreter;
use couchside::record::{ClipOf, Source};

use super::*;

/// A served record in which this was typed; the findings have the numbers from 1 on.
fn typed(lines: &[&str]) -> Served {
    let served = served(record().0, true);
    for line in lines {
        let added = served.post("/client/P-12/visit/1/add", &[("words", line)]);
        assert_eq!(
            added.header("location"),
            Some("/client/P-12/visit/1"),
            "{line}: {}",
            added.body
        );
    }
    served
}

const SENTENCE: &str = "Right hip internal rotation, passive, 25 degrees, firm end feel.";

#[test]
fn a_finding_is_typed_changed_undone_and_taken_back() {
    let served = typed(&["right hip internal rotation passive twenty five firm"]);
    let visit = || served.get("/client/P-12/visit/1").body;
    assert!(visit().contains(SENTENCE));
    let read = served.get("/read?id=1&words=thirty").body;
    assert_eq!(
        read,
        r#"{"becomes":"Right hip internal rotation, passive, 30 degrees, firm end feel."}"#
    );
    // Reading writes nothing.
    assert!(visit().contains(SENTENCE));
    served.post("/finding/1", &[("words", "thirty"), ("because", "misheard")]);
    assert!(visit().contains("passive, 30 degrees"));
    assert!(visit().contains("“right hip internal rotation passive twenty five firm; thirty”"));
    assert!(visit().contains("Finding 1 was changed. Before: Right hip"));
    served.post("/undo", &[]);
    assert!(visit().contains(SENTENCE));
    served.post("/finding/1/back", &[("because", "")]);
    assert!(!visit().contains("id=\"finding-1\""));
    served.post("/undo", &[]);
    assert!(visit().contains("id=\"finding-2\"") && visit().contains(SENTENCE));
    let nothing = served.post("/undo", &[]);
    assert_eq!(nothing.status, 422);

    let record = reopened(served.home.path());
    record.verify().unwrap();
    let history = record.history("P-12").unwrap();
    assert!(history.iter().any(|done| done.why.as_deref() == Some("misheard")));
}

#[test]
fn what_is_not_understood_is_not_written() {
    let served = typed(&["left knee flexion active one thirty"]);
    for (path, words) in [
        ("/client/P-12/visit/1/add", "how was your weekend"),
        ("/client/P-12/visit/1/add", "knee flexion one ten"),
        ("/client/P-12/visit/1/add", "confirm"),
        ("/finding/1", "how was your weekend"),
        ("/finding/1", "one thirty"),
        ("/finding/99", "one thirty"),
    ] {
        let refused = served.post(path, &[("words", words)]);
        assert!(matches!(refused.status, 409 | 422), "{words}: {}", refused.status);
        assert!(refused.body.contains("That was not done"), "{words}");
    }
    let case = reopened(served.home.path()).case("P-12").unwrap();
    assert_eq!(case.visits[0].findings.len(), 1);
}

#[test]
fn talk_can_become_a_finding_and_what_is_corrected_is_learnt() {
    let (home, mut record) = record();
    let visit = record.visit_of("P-12", None).unwrap();
    let heard = "left a doctor longest tender";
    record.keep_aside(visit, heard).unwrap();
    let served = served(home, true);
    let page = |served: &Served| served.get("/client/P-12/visit/1").body;
    assert!(page(&served).contains(heard) && page(&served).contains("<summary>Talk</summary>"));
    let words = "left adductor longus tender";
    let read = served.get("/read?words=left+adductor+longus+tender&heard=left+a+doctor+longest+tender");
    assert!(
        read.body
            .contains("It teaches: “a doctor longest” stands for “adductor longus”"),
        "{}",
        read.body
    );
    let form = [("words", words), ("heard", heard), ("aside", "1")];
    served.post("/client/P-12/visit/1/add", &form);
    assert!(page(&served).contains("id=\"finding-1\"") && !page(&served).contains(heard));
    let learnt = std::fs::read_to_string(served.home.path().join("learnt.toml")).unwrap();
    assert!(
        learnt.contains("heard = \"a doctor longest\"") && learnt.contains("helped = 1"),
        "{learnt}"
    );
}

#[test]
fn a_correction_is_learnt_from_if_it_was_misheard() {
    let (home, mut record) = record();
    let visit = record.visit_of("P-12", None).unwrap();
    let grammar = Arc::new(Grammar::carried().unwrap());
    let Outcome::Finding { findings } = Interpreter::new(grammar)
        .read("left adductor magnus tender")
        .outcome
    else {
        panic!("it is a finding")
    };
    for _ in 0..2 {
        let source = Source {
            words: "left adductor magnus tender".into(),
            model: "tiny.en-joints".into(),
            grammar: "test".into(),
        };
        let waits = record.propose(visit, &findings[0], &source).unwrap();
        record
            .keep_transcript(waits, "left a doctor longest tender")
            .unwrap();
    }
    drop(record);
    let served = served(home, true);
    served.post("/client/P-12/visit/1/settle", &[]);
    assert!(served.get("/finding/1").body.contains("It was misheard"));
    let read = served.get("/read?id=1&words=adductor+longus").body;
    assert!(
        read.contains("“a doctor longest” stands for “adductor longus”"),
        "{read}"
    );
    let file = served.home.path().join("learnt.toml");
    served.post("/finding/1", &[("words", "adductor longus")]);
    assert!(!file.exists());
    served.post("/finding/2", &[("words", "adductor longus"), ("learn", "yes")]);
    assert!(
        std::fs::read_to_string(file)
            .unwrap()
            .contains("a doctor longest")
    );
    let visit = served.get("/client/P-12/visit/1").body;
    assert_eq!(
        visit.matches("left adductor longus").count() + visit.matches("Left adductor longus").count(),
        4,
        "{visit}"
    );
}

#[test]
fn a_signed_visit_is_amended_and_says_so() {
    let served = typed(&["left knee flexion active one thirty"]);
    let about = [
        ("history", "stiff since the run"),
        ("treatment", ""),
        ("advice", ""),
        ("plan", ""),
        ("retest", "in two weeks"),
    ];
    served.post("/client/P-12/visit/1/about", &about);
    served.post("/client/P-12/visit/1/sign", &[]);
    let visit = served.get("/client/P-12/visit/1").body;
    assert!(visit.contains("Signed off") && visit.contains("stiff since the run"));
    assert!(!visit.contains("Add a finding by typing") && !visit.contains("amended"));
    let closed = served.post(
        "/client/P-12/visit/1/add",
        &[("words", "left knee extension active zero")],
    );
    assert_eq!(closed.status, 409);
    served.post("/finding/1", &[("words", "one twenty five")]);
    let visit = served.get("/client/P-12/visit/1").body;
    assert!(
        visit.contains("Amended ") && visit.contains("<span class=\"tag\">amended</span>"),
        "{visit}"
    );
    assert!(served.get("/client/P-12").body.contains("signed off, amended"));
}

#[test]
fn a_case_is_drawn_and_searched() {
    let served = typed(&[
        "right hip internal rotation passive twenty five firm",
        "left hip internal rotation passive forty firm",
        "note stairs hurt since Monday",
    ]);
    let case = served.get("/client/P-12").body;
    for shown in [
        "role=\"img\"",
        "usual 30° to 45°",
        "<a href=\"/finding/1\">25°</a>",
        "stairs hurt since Monday",
        "Sources differ, active is not passive",
    ] {
        assert!(case.contains(shown), "{shown}");
    }
    // Where it was found, on the outline of a body; and only what is there.
    assert!(case.contains("aria-label=\"right hip: one finding\""));
    let only = served.get("/client/P-12?part=hip&side=right").body;
    assert!(
        only.contains("Only: right hip") && only.contains("/finding/1\"") && !only.contains("/finding/2\"")
    );
    assert!(
        !served
            .get("/client/P-12?part=nose&side=right")
            .body
            .contains("Only:")
    );
    let found = served.get("/search?q=hip+internal+rotation+%3C+30").body;
    assert!(found.contains("/finding/1\"") && !found.contains("/finding/2\""));
    assert!(found.contains("Looked for: hip internal rotation; degrees below 30"));
    let found = served.get("/search?q=stairs").body;
    assert!(
        found.contains("note <mark>stairs</mark> hurt since Monday"),
        "{found}"
    );
    assert!(served.get("/search?q=zebra").body.contains("Nothing was found"));
}

#[test]
fn a_client_is_described() {
    let served = served(record().0, true);
    let mut form = vec![
        ("name", "N. N."),
        ("born", "1980"),
        ("sex", "female"),
        ("referrer", ""),
        ("consent", ""),
        ("complaint", "knee"),
        ("goals", ""),
        ("cautions", "pacemaker"),
    ];
    assert_eq!(served.post("/client/P-12/about", &form).status, 303);
    let case = served.get("/client/P-12").body;
    assert!(case.contains("<strong>Cautions:</strong> pacemaker") && case.contains("1980"));
    form[1].1 = "lately";
    let refused = served.post("/client/P-12/about", &form);
    assert!(refused.body.contains("be the year of birth"), "{}", refused.body);
    let code = served.post("/", &[("code", "P-12")]);
    assert_eq!(code.status, 409);
}

/// A served record in which these wait; of the last it was asked for again in vain.
fn waiting(findings: &[Finding]) -> Served {
    let (home, mut record) = record();
    let visit = record.visit_for("P-12").unwrap();
    let source = Source {
        words: "knee flexion active one thirty".into(),
        model: "m".into(),
        grammar: "g".into(),
    };
    for finding in findings {
        let id = record.propose(visit, finding, &source).unwrap();
        if Some(finding) == findings.last() {
            record.park(id).unwrap();
        }
    }
    record.allow_sound(visit, true).unwrap();
    record
        .keep_sound(visit, ClipOf::Proposal(1), &[0.25; 160])
        .unwrap();
    drop(record);
    served(home, true)
}

fn flexion(side: Option<Side>, degrees: i32) -> Finding {
    let mut finding = Finding::new(Kind::Movement);
    finding.side = side;
    finding.joint = Some("knee".into());
    finding.movement = Some("flexion".into());
    finding.mode = Some(Mode::Active);
    finding.degrees = Some(Degrees {
        from: None,
        to: degrees,
    });
    if side.is_none() {
        finding.missing = vec!["side".into()];
    }
    finding
}

#[test]
fn what_waits_is_recorded_completed_or_left_out() {
    let served = waiting(&[
        flexion(Some(Side::Left), 130),
        flexion(None, 125),
        flexion(Some(Side::Right), 120),
        flexion(Some(Side::Right), 110),
        flexion(None, 100),
    ]);
    let settle = |fields: &[(&str, &str)]| served.post("/client/P-12/visit/1/settle", fields);
    let recorded = || -> Vec<i32> {
        let case = reopened(served.home.path()).case("P-12").unwrap();
        let findings = case.visits[0].findings.iter();
        findings
            .map(|kept| kept.finding.degrees.as_ref().unwrap().to)
            .collect()
    };
    let page = served.get("/client/P-12/visit/1").body;
    assert!(page.contains("Dictated and not confirmed") && page.contains("Still to be looked at"));
    // The side is missing; then it is said.
    let refused = settle(&[("id", "2"), ("words", "")]);
    assert!(refused.body.contains("Say also: side"), "{}", refused.body);
    assert_eq!(settle(&[("id", "2"), ("words", "left")]).status, 303);
    assert_eq!(
        settle(&[("id", "4"), ("words", ""), ("leave_out", "yes")]).status,
        303
    );
    assert_eq!(recorded(), [125]);
    // All that are complete: what was put aside stays.
    assert_eq!(settle(&[("words", "")]).status, 303);
    assert_eq!(recorded(), [125, 130, 120]);
    assert_eq!(
        settle(&[("id", "5"), ("words", "right one hundred and five")]).status,
        303
    );
    assert_eq!(recorded(), [125, 130, 120, 105]);
    assert_eq!(settle(&[("id", "5"), ("words", "")]).status, 409);
    let page = served.get("/client/P-12/visit/1").body;
    assert!(
        !page.contains("not confirmed") && !page.contains("Still to be looked at"),
        "{page}"
    );
    reopened(served.home.path()).verify().unwrap();
}

#[test]
fn a_clip_is_heard() {
    let served = waiting(&[flexion(Some(Side::Left), 130), flexion(None, 125)]);
    let played = served.get("/sound/1");
    assert_eq!(played.header("content-type"), Some("audio/wav"));
    assert_eq!(played.header("content-length"), Some("364"));
    assert!(played.body.starts_with("RIFF"));
    assert_eq!(served.get("/sound/2").status, 409);
}

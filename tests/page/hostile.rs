//! Whatever is typed or asked for: it is shown as it stands, and nothing breaks.

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use super::*;

const MARKUP: &str = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'&";

#[test]
fn markup_is_only_text() {
    let served = served(record().0, true);
    let note = format!("note {MARKUP}");
    served.post("/client/P-12/visit/1/add", &[("words", &note)]);
    served.post("/", &[("code", "<b>P-13</b>")]);
    let about = [
        "name",
        "born",
        "sex",
        "referrer",
        "consent",
        "complaint",
        "goals",
        "cautions",
    ]
    .map(|field| (field, if field == "born" { "" } else { MARKUP }));
    assert_eq!(served.post("/client/P-12/about", &about).status, 303);
    let texts =
        ["history", "assessment", "treatment", "advice", "plan", "retest"].map(|field| (field, MARKUP));
    assert_eq!(served.post("/client/P-12/visit/1/about", &texts).status, 303);
    for path in [
        "/",
        "/client/P-12",
        "/client/P-12/about",
        "/client/P-12/visit/1",
        "/finding/1",
        "/search?q=script",
        "/search?q=%3Cscript%3Ealert(1)%3C/script%3E&client=%22%3E%3Cb%3E",
        "/client/%3Cb%3EP-13%3C%2Fb%3E",
    ] {
        let body = served.get(path).body;
        assert!(
            !body.contains("<script>alert") && !body.contains("<img src=x") && !body.contains("<b>"),
            "{path}: {body}"
        );
    }
    assert!(served.get("/finding/1").body.contains("&#60;script&#62;"));
}

/// Queries and forms of any text: never a failure of the program, and it goes on.
#[test]
fn any_text_is_answered() {
    let served = served(record().0, true);
    served.post(
        "/client/P-12/visit/1/add",
        &[("words", "left knee flexion active one thirty")],
    );
    let text = prop_oneof![
        "[ -~°“”é\"<>%&=;\\\\\\r\\n\\t\u{0}]{0,80}",
        "(left |right |hip |knee |flexion |passive |thirty |< |\"|\\[|\\]|note |correction ){0,12}",
    ];
    let place = 0..9_usize;
    let mut runner = TestRunner::new(Config::with_cases(400));
    let run = runner.run(&(text, place), |(text, place)| {
        let encoded: String = text.bytes().map(|byte| format!("%{byte:02X}")).collect();
        let answer = match place {
            0 => served.get(&format!("/search?q={encoded}&page=7")),
            1 => served.get(&format!("/search?client={encoded}&from={encoded}&to={encoded}")),
            2 => served.get(&format!("/read?words={encoded}")),
            3 => served.get(&format!("/read?id=1&words={encoded}")),
            4 => served.get(&format!("/client/{encoded}/visit/{encoded}")),
            5 => served.get(&format!("/client/{encoded}")),
            6 => served.post("/finding/2", &[("words", &text), ("because", &text)]),
            7 => served.post("/client/P-12/visit/99/add", &[("words", &text)]),
            _ => served.ask(
                "POST /",
                &[
                    ("Cookie", &served.cookie),
                    ("Origin", &format!("http://{}", served.host)),
                ],
                &encoded,
            ),
        };
        prop_assert!(
            answer.status < 500,
            "{text:?} at {place}: {} {}",
            answer.status,
            answer.body
        );
        Ok(())
    });
    run.unwrap();
    reopened(served.home.path()).verify().unwrap();
}

#[test]
fn what_is_too_large_is_refused() {
    let served = served(record().0, true);
    let large = "x".repeat(300_000);
    let refused = served.ask(
        "POST /client/P-12/visit/1/add",
        &[
            ("Cookie", &served.cookie),
            ("Origin", &format!("http://{}", served.host)),
        ],
        &format!("words={large}"),
    );
    assert_eq!(refused.status, 413);
    assert_eq!(served.get("/").status, 200);
}

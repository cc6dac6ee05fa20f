//! What is said about a `case.toml` that is not in order, and what is read although it is unusual.

use couchside::evaluate::Case;
use couchside::finding::Outcome;

fn read(text: &str) -> Result<Case, String> {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("case.toml"), text).expect("written");
    Case::read(folder.path()).map_err(|error| error.to_string())
}

#[track_caller]
fn check(text: &str, line: usize, complaint: &str) {
    let said = read(text).expect_err("the case is broken");
    assert!(said.contains(&format!("case.toml line {line}: ")), "{said}");
    assert!(said.contains(complaint), "{said}");
}

#[test]
fn each_slip_is_named_with_its_line_and_a_remedy() {
    check("said = \"confirm\"\noutcome = \n", 2, "mend that line");
    check("said = 5\noutcome = \"aside\"\n", 1, "mend that line");
    check(
        "said = \"confirm\"\n",
        1,
        "write outcome = \"finding\", \"control\", \"aside\" or \"unclear\"",
    );
    check(
        "said = \"confirm\"\noutcome = \"talk\"\n",
        2,
        "there is no outcome \"talk\"; write outcome =",
    );
    check("outcome = \"control\"\n", 1, "write control = \"confirm\"");
    check(
        "outcome = \"control\"\ncontrol = \"conform\"\n",
        2,
        "no control word \"conform\"",
    );
    check(
        "said = \"x\"\n\noutcome = \"finding\"\n",
        3,
        "list what must be found in findings",
    );
    check(
        "outcome = \"aside\"\nfindings = [{ kind = \"note\", text = \"x\" }]\n",
        1,
        "take the findings away",
    );
    check(
        "outcome = \"control\"\ncontrol = \"confirm\"\nfindings = [{ kind = \"note\", text = \"x\" }]\n",
        1,
        "only a correction has findings",
    );
    check(
        "outcome = \"finding\"\nfindings = [\n  { kind = \"note\", text = \"x\" },\n  { kind = \"movment\" },\n]\n",
        4,
        "movment",
    );
    check(
        "outcome = \"finding\"\nfindings = [\n  { kind = \"movement\", degress = { to = 5 } },\n]\n",
        3,
        "no field degress; correct its name",
    );
    check(
        "outcome = \"finding\"\nfindings = [{ kind = \"movement\", pain = { felt = true, scor = 5 } }]\n",
        2,
        "no field scor",
    );
    check(
        "[[utterance]]\nsaid = \"x\"\noutcome = \"aside\"\n\n[[utterance]]\nsaid = \"y\"\n",
        5,
        "write outcome =",
    );
    check("utterance = []\n", 1, "the list of utterances is empty");
}

#[test]
fn a_file_that_is_not_text() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("case.toml"), [0xff, 0xfe]).expect("written");
    let said = Case::read(folder.path()).expect_err("no text").to_string();
    assert!(
        said.contains("could not read") && said.contains("case.toml"),
        "{said}"
    );
}

#[test]
fn what_is_unusual_is_read() {
    let case = read(
        "id = 7\nseed = [1, 2]\nvoice = \"a\"\nspeed = 1.2\nnoise = \"babble\"\nsnr_db = 10\nkind = \"dictation\"\n\
         outcome = \"finding\"\nconfidence = 1.0\n\
         findings = [{ kind = \"note\", text = \"x\", id = 3, confidence = 0.5, signs = [], missing = [] }]\n",
    )
    .expect("a case");
    assert_eq!(case.id, "7");
    assert!(!case.continuous);
    let conditions = &case.utterances[0].conditions;
    let stated = [
        &conditions.voice,
        &conditions.speed,
        &conditions.noise,
        &conditions.snr_db,
        &conditions.kind,
    ];
    let stated: Vec<&str> = stated.iter().filter_map(|value| value.as_deref()).collect();
    assert_eq!(stated, ["a", "1.2", "babble", "10", "dictation"]);
    assert!(matches!(&case.utterances[0].outcome, Outcome::Finding { findings } if findings.len() == 1));
}

#[test]
fn an_utterance_has_the_voice_of_its_speaker() {
    let case = read(
        "voice = \"a and b\"\nnoise = \"none\"\n[voices]\ntherapist = \"a\"\n\
         [[utterance]]\nspeaker = \"therapist\"\noutcome = \"aside\"\nstart_s = 0.5\nend_s = 1.5\n\
         [[utterance]]\nspeaker = \"client\"\noutcome = \"aside\"\nnoise = \"hum\"\n",
    )
    .expect("a case");
    let [one, other] = case.utterances.as_slice() else {
        panic!("two utterances")
    };
    assert_eq!(
        (one.conditions.voice.as_deref(), one.span),
        (Some("a"), Some((0.5, 1.5)))
    );
    assert_eq!(
        (other.conditions.voice.as_deref(), other.span),
        (Some("a and b"), None)
    );
    assert_eq!(one.conditions.noise.as_deref(), Some("none"));
    assert_eq!(other.conditions.noise.as_deref(), Some("hum"));
}

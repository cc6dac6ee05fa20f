//! Grammar files as they may come from an editor, a bad disk or a stranger: whatever is in them, loading gives a grammar or
//! a fault with its place and its remedy, and never panics or goes on for ever.

use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use couchside::grammar::{Grammar, Source};
use couchside::interpret::Interpreter;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use regex::Regex;

type Files = Vec<(String, String)>;

fn carried() -> &'static Files {
    static FILES: OnceLock<Files> = OnceLock::new();
    FILES.get_or_init(|| {
        let source = Source::carried();
        let text = |name: &str| (name.to_string(), source.text(name).to_string());
        // What only the checks read says nothing of loading.
        source
            .names()
            .filter(|name| !name.starts_with("examples"))
            .map(text)
            .collect()
    })
}

/// Loading takes a tenth of a second; this much would be a fault even on a computer that is busy.
const LONGEST: Duration = Duration::from_secs(300);

/// What must hold of any files. Returns whether a grammar came of it.
fn load(files: Files) -> bool {
    let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    let began = Instant::now();
    let loaded = Grammar::load(&Source::texts(files));
    assert!(began.elapsed() < LONGEST, "{:?}", began.elapsed());
    match loaded {
        Ok(grammar) => {
            Interpreter::new(Arc::new(grammar)).read("right knee flexion passive one twenty firm end feel");
            true
        }
        Err(fault) => {
            assert!(names.iter().any(|name| name == fault.file()), "{}", fault.file());
            let told = fault.to_string();
            let place = format!(
                r"(?s)^.+\n *--> {}:[1-9]\d*:[1-9]\d*\n.*\n *= \S[^\n]+$",
                regex::escape(fault.file())
            );
            assert!(Regex::new(&place).unwrap().is_match(&told), "{told}");
            false
        }
    }
}

/// Values that nobody would write.
const VALUES: [&str; 16] = [
    "",
    "\"\"",
    "nan",
    "-9223372036854775808",
    "99999999999999999999999999",
    "[]",
    "{}",
    "[[[[[[[[\"x\"]]]]]]]]",
    "{ say = \"x\", weight = inf }",
    "\"{}\"",
    "\"{} {} {} {}\"",
    "\"{degrees}\"",
    "\"[x\"",
    "\"\\u0000\"",
    "1979-05-27T07:32:00Z",
    "true",
];

/// A change of one file.
#[derive(Clone, Debug)]
enum Change {
    DropLine(Index),
    RepeatLine(Index),
    ReplaceLine(Index, Index),
    ReplaceValue(Index, &'static str),
    ReplaceByte(Index, u8),
    Truncate(Index),
}

impl Change {
    fn make(&self, text: &str) -> String {
        let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
        if lines.is_empty() {
            return String::new();
        }
        match self {
            Change::DropLine(at) => drop(lines.remove(at.index(lines.len()))),
            Change::RepeatLine(at) => {
                let line = at.get(&lines).clone();
                lines.insert(at.index(lines.len()), line);
            }
            Change::ReplaceLine(at, by) => {
                let line = by.get(&lines).clone();
                let at = at.index(lines.len());
                lines[at] = line;
            }
            Change::ReplaceValue(at, value) => {
                let valued: Vec<usize> = (0..lines.len())
                    .filter(|&line| lines[line].contains('='))
                    .collect();
                if valued.is_empty() {
                    return text.to_string();
                }
                let line = &mut lines[*at.get(&valued)];
                let key = line.split('=').next().unwrap_or_default().to_string();
                *line = format!("{key}= {value}");
            }
            Change::ReplaceByte(at, byte) => {
                let mut bytes = text.as_bytes().to_vec();
                let at = at.index(bytes.len());
                bytes[at] = *byte;
                return String::from_utf8_lossy(&bytes).into_owned();
            }
            Change::Truncate(at) => {
                let bytes = &text.as_bytes()[..at.index(text.len())];
                return String::from_utf8_lossy(bytes).into_owned();
            }
        }
        lines.join("\n")
    }
}

fn change() -> impl Strategy<Value = Change> {
    let at = any::<Index>;
    prop_oneof![
        at().prop_map(Change::DropLine),
        at().prop_map(Change::RepeatLine),
        (at(), at()).prop_map(|(at, by)| Change::ReplaceLine(at, by)),
        (at(), select(&VALUES[..])).prop_map(|(at, value)| Change::ReplaceValue(at, value)),
        (at(), any::<u8>()).prop_map(|(at, byte)| Change::ReplaceByte(at, byte)),
        at().prop_map(Change::Truncate),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, max_shrink_iters: 64, ..ProptestConfig::default() })]

    #[test]
    fn a_changed_file_is_a_grammar_or_a_fault(which in any::<Index>(), changes in prop::collection::vec(change(), 1..4)) {
        let mut files = carried().clone();
        let (_, text) = &mut files[which.index(carried().len())];
        for change in &changes {
            *text = change.make(text);
        }
        load(files);
    }
}

/// A carried file replaced.
fn with(name: &str, text: String) -> Files {
    let mut files = carried().clone();
    let file = files
        .iter_mut()
        .find(|(file, _)| file == name)
        .expect("a carried file");
    file.1 = text;
    files
}

#[test]
fn unchanged_files_are_a_grammar() {
    assert!(load(carried().clone()));
}

#[test]
fn hostile_wordings_are_faults() {
    let deep = |open: &str, close: &str| format!("{}x{}", open.repeat(50_000), close.repeat(50_000));
    let choice = format!("({})", vec!["a"; 4000].join("|"));
    for said in [
        deep("[", "]"),
        deep("(", ")"),
        "[a] ".repeat(40) + "b",
        format!("{choice} {choice} {choice}"),
        "(a|".repeat(2000),
        "{".repeat(10_000),
        "|".repeat(10_000),
        format!("x ({})", "a|".repeat(10_000)),
    ] {
        let file = format!(
            "slot = \"power\"\nphrases = [\"{{}}\"]\n[[value]]\nis = \"strong\"\nsaid = [\"{said}\"]\n"
        );
        assert!(
            !load(with("powers.toml", file)),
            "{}…",
            &said[..said.len().min(40)]
        );
    }
}

/// Each is allowed by itself, but all of them with each other would fill the memory.
#[test]
fn frames_and_names_that_multiply_are_a_fault() {
    let words = |letter: char| -> String {
        let places: Vec<String> = (0..10)
            .map(|at| format!("({letter}{at}|{letter}{letter}{at})"))
            .collect();
        places.join(" ")
    };
    let file = format!(
        "slot = \"power\"\nphrases = [\"{} {{}}\"]\n[[value]]\nis = \"strong\"\nsaid = [\"{}\"]\n",
        words('f'),
        words('s')
    );
    assert!(!load(with("powers.toml", file)));
}

#[test]
fn hostile_toml_is_a_fault() {
    for text in [
        "a = ".to_string() + &"[".repeat(100_000),
        "a = ".to_string() + &"{ b = ".repeat(100_000),
        format!("[{}]", vec!["a"; 100_000].join(".")),
        "\u{feff}\u{0}".to_string(),
        "slot = 'power'\nslot = 'power'\n".to_string(),
        "\"".repeat(9),
        format!("# {}", "é".repeat(1_000_000)),
    ] {
        assert!(!load(with("powers.toml", text)));
    }
}

#[test]
fn hostile_patterns_of_written_forms_are_faults() {
    for pattern in ["(a{1000}){1000}", "(?:", "", "x*", "[z-a]"] {
        let text = format!("[[form]]\npattern = '{pattern}'\nwith = 'x'\n[spelt]\n");
        assert!(!load(with("written-forms.toml", text)), "{pattern}");
    }
}

#[test]
fn numbers_beyond_all_reason_do_no_harm() {
    let numbers = carried().iter().find(|(name, _)| name == "numbers.toml").unwrap();
    let text = numbers
        .1
        .replace("ninety = 90", "ninety = 2147483647")
        .replace("nine = 9", "nine = -2147483648");
    load(with("numbers.toml", text));
    let knee = carried()
        .iter()
        .find(|(name, _)| name == "joints/knee.toml")
        .unwrap();
    let reach = Regex::new(r"reach = \[.*\]").unwrap();
    let text = reach
        .replace_all(&knee.1, "reach = [-2147483648, 2147483647]")
        .into_owned();
    load(with("joints/knee.toml", text));
}

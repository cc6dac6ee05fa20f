//! A scripted assessment in the simulated room: sixty findings dictated and two hundred things said to and by the client, by a
//! therapist who listens to what is said back, confirms what is right, drops what is wrong and says it again.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::path::Path;
use std::rc::Rc;

use couchside::event::Event;
use couchside::finding::Finding;
use couchside::hear::SAMPLE_RATE;
use couchside::pipeline::Shown;
use couchside::record::Record;
use serde::Deserialize;

use super::passphrase;
use super::room::{Air, ECHO, Turn, When, listen};
use crate::sound::made::spoken;

#[derive(Deserialize)]
struct Script {
    finding: Vec<Dictated>,
}

#[derive(Clone, Deserialize)]
struct Dictated {
    say: String,
    means: Finding,
}

#[derive(Deserialize)]
struct Talk {
    case: Vec<Said>,
}

#[derive(Deserialize)]
struct Said {
    heard: Option<String>,
    outcome: String,
}

const ASIDES: usize = 200;
/// So often a therapist says the same before they give it up.
const PATIENCE: u32 = 6;

fn asides() -> Vec<String> {
    let mut asides = Vec::new();
    for name in [
        "instructions",
        "questions",
        "tests",
        "numbers",
        "history",
        "other",
        "colleagues",
    ] {
        let path = format!("{}/tests/cases/asides-{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let talk: Talk =
            toml::from_str(&std::fs::read_to_string(path).expect("it is there")).expect("no slip in it");
        let talk = talk.case.into_iter().filter(|said| said.outcome == "aside");
        asides.extend(talk.filter_map(|said| said.heard));
    }
    asides.truncate(ASIDES);
    assert_eq!(asides.len(), ASIDES);
    asides
}

/// What the therapist is at.
#[derive(Default)]
struct Therapist {
    script: VecDeque<Dictated>,
    asides: VecDeque<String>,
    /// What was said last, and how often.
    said: String,
    tries: u32,
    /// Findings said; of these, at the first time of saying understood; said again; given up.
    dictated: usize,
    at_once: usize,
    again: usize,
    given_up: Vec<String>,
    wrong: Vec<String>,
    confirmed: Vec<Finding>,
    talk: usize,
    taken_from_talk: Vec<String>,
    talking: bool,
}

impl Therapist {
    /// Goes on in the script: a little talk, then the next finding.
    fn goes_on(&mut self) -> Option<String> {
        let share = self.asides.len() / (self.script.len() + 1);
        self.talking = self.talk < share.max(1) && !self.asides.is_empty();
        if self.talking {
            self.talk += 1;
            return self.asides.pop_front();
        }
        self.talk = 0;
        let next = self.script.front()?.say.clone();
        (self.tries, self.dictated) = (1, self.dictated + 1);
        Some(self.say(next))
    }

    fn say(&mut self, words: String) -> String {
        self.said = words.clone();
        words
    }

    /// What to say now that nothing came of what was said, or it was not understood.
    fn says_again(&mut self) -> Option<String> {
        if self.talking || self.said.is_empty() {
            return self.goes_on();
        }
        self.tries += 1;
        self.again += 1;
        if self.tries > PATIENCE {
            let given_up = self.script.pop_front().map(|next| next.say);
            self.given_up.extend(given_up);
            self.said.clear();
            return self.goes_on();
        }
        Some(self.said.clone())
    }

    fn hears(&mut self, event: &Event) -> Option<String> {
        match event {
            Event::Proposed { .. } | Event::Recorded { .. } if self.talking => {
                self.taken_from_talk.push(format!("{event:?}"));
                Some("disregard".into())
            }
            Event::Proposed { finding, .. } => {
                let meant = self.script.front().map(|next| &next.means);
                if meant == Some(finding) {
                    self.at_once += usize::from(self.tries == 1);
                    return Some(self.say("confirm".into()));
                }
                self.wrong
                    .push(format!("{}: {}", self.said, couchside::review::fields(finding)));
                Some(self.say("disregard".into()))
            }
            Event::Recorded { finding, .. } => {
                self.confirmed.push(finding.clone());
                self.script.pop_front();
                self.goes_on()
            }
            Event::Disregarded { .. } => {
                let next = self.script.front().map(|next| next.say.clone());
                self.tries += 1;
                self.again += 1;
                next.map(|words| self.say(words))
            }
            _ => None,
        }
    }
}

fn turn(folder: &Path, words: &str, talking: bool) -> Turn {
    let (voice, level) = if talking { ("rms", 0.6) } else { ("slt", 1.0) };
    // As the synthesiser says it rightly.
    let written = words.replace("flexion", "flection");
    let clip = spoken(folder, "flite", voice, &written);
    Turn {
        clip: clip.iter().map(|sample| sample * level).collect(),
        when: When::Silent(if talking { 0.8 } else { 1.2 }),
    }
}

#[test]
fn a_scripted_assessment_is_recorded_rightly() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = format!("{}/tests/pipeline/assessment.toml", env!("CARGO_MANIFEST_DIR"));
    let script: Script =
        toml::from_str(&std::fs::read_to_string(path).expect("it is there")).expect("no slip in it");
    let meant: Vec<Finding> = script.finding.iter().map(|next| next.means.clone()).collect();
    assert_eq!(meant.len(), 60);
    let therapist = Rc::new(RefCell::new(Therapist {
        script: script.finding.into(),
        asides: asides().into(),
        ..Therapist::default()
    }));
    let air = Rc::new(RefCell::new(Air::default()));
    let (at_a_loss, clips) = (therapist.clone(), folder.path().to_owned());
    air.borrow_mut().at_a_loss = Some(Box::new(move || {
        let mut therapist = at_a_loss.borrow_mut();
        let words = therapist.says_again()?;
        Some(turn(&clips, &words, therapist.talking))
    }));
    let home = tempfile::tempdir().expect("a folder");
    listen(home.path(), &air, ECHO, |shown| {
        if let Shown::Event(event) = shown {
            let mut therapist = therapist.borrow_mut();
            if let Some(words) = therapist.hears(event) {
                let turn = turn(folder.path(), &words, therapist.talking);
                let mut air = air.borrow_mut();
                air.next.clear();
                air.next.push_back(turn);
            }
        }
        Ok(())
    });
    let minutes = air.borrow().played.len() as f64 / f64::from(SAMPLE_RATE) / 60.0;
    let therapist = therapist.borrow();
    println!(
        "{minutes:.1} minutes: {} findings dictated, {} understood at once, {} times something was said again, {} proposals were wrong \
         and dropped, {} given up, {} recorded; from {ASIDES} things said in talk {} became something",
        therapist.dictated,
        therapist.at_once,
        therapist.again,
        therapist.wrong.len(),
        therapist.given_up.len(),
        therapist.confirmed.len(),
        therapist.taken_from_talk.len(),
    );
    for (what, list) in [
        ("wrong", &therapist.wrong),
        ("given up", &therapist.given_up),
        ("from talk", &therapist.taken_from_talk),
    ] {
        list.iter().for_each(|one| println!("  {what}: {one}"));
    }
    let record = Record::open(home.path(), &passphrase()).expect("it opens");
    record.verify().expect("the record is whole");
    let case = record.case("demo-7").expect("the client");
    let kept: Vec<Finding> = case.visits[0]
        .findings
        .iter()
        .map(|kept| kept.finding.clone())
        .collect();
    // What is recorded is what was confirmed, what was confirmed is what was meant, and in its order.
    assert_eq!(kept, therapist.confirmed);
    let mut rest = meant.iter();
    assert!(
        kept.iter().all(|finding| rest.any(|meant| meant == finding)),
        "{kept:?}"
    );
    assert_eq!(kept.len() + therapist.given_up.len(), meant.len());
}

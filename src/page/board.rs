//! What is shown while the program listens: what was heard, what waits, what is recorded, what is left.

use std::sync::Arc;

use askama::Template;

use super::joints::{Joint, joints};
use crate::event::Event;
use crate::finding::Finding;
use crate::grammar::Grammar;
use crate::grammar::readback::Answers;
use crate::pipeline::remains;
use crate::readback::written;
use crate::record::Kept;
use crate::review::day;

/// So many of the things that remain are shown.
const REMAINS: usize = 4;

/// What is going on.
#[derive(Default)]
pub struct Board {
    pub client: String,
    pub date: String,
    pub visit: i64,
    pub mood: Mood,
    heard: Option<String>,
    said: Option<String>,
    asked: Option<String>,
    pub notice: Option<String>,
    /// By their numbers, oldest first.
    waiting: Vec<(i64, Finding)>,
    recorded: Vec<Kept>,
    /// What was recorded last.
    last: Option<i64>,
}

#[derive(Clone, Copy, Default, PartialEq)]
pub enum Mood {
    #[default]
    Listening,
    StandingBy,
    Ended,
}

#[derive(Template)]
#[template(path = "board.html")]
struct Drawn<'a> {
    state: &'a str,
    class: &'a str,
    heard: &'a Option<String>,
    said: &'a Option<String>,
    asked: &'a Option<String>,
    notice: &'a Option<String>,
    waiting: Vec<String>,
    last: Option<String>,
    count: usize,
    joints: Vec<Joint>,
    remains: Vec<String>,
}

impl Board {
    /// Of a client's visit, by its number and local date, in which this is recorded so far.
    pub fn new(client: &str, visit: (i64, &str), recorded: Vec<Kept>) -> Board {
        Board {
            client: client.to_owned(),
            visit: visit.0,
            date: day(visit.1),
            recorded,
            ..Board::default()
        }
    }

    /// What an event changes.
    pub fn heed(&mut self, event: &Event, words: &Answers) {
        match event {
            Event::Heard { heard, .. } => {
                self.heard = Some(heard.clone());
                self.asked = None;
                self.notice = None;
            }
            Event::Proposed { id, finding } => {
                self.waiting.retain(|(other, _)| other != id);
                self.waiting.push((*id, finding.clone()));
            }
            Event::Corrected { id, finding } => {
                for (_, waiting) in self.waiting.iter_mut().filter(|(other, _)| other == id) {
                    *waiting = finding.clone();
                }
            }
            Event::Disregarded { id, .. } | Event::Parked { id, .. } => {
                self.waiting.retain(|(other, _)| other != id);
                self.asked = None;
            }
            Event::Asked { question, .. } => self.asked = Some(question.clone()),
            Event::Said { text } => {
                if *text == words.standing_by {
                    self.mood = Mood::StandingBy;
                } else if *text == words.resumed {
                    self.mood = Mood::Listening;
                }
                self.said = Some(text.clone());
            }
            Event::Recorded { id, finding, at } => {
                // The number is the finding's, not that of what waited.
                self.waiting.retain(|(_, waiting)| waiting != finding);
                self.asked = None;
                self.last = Some(*id);
                self.recorded.retain(|kept| kept.id != *id);
                self.recorded.push(Kept {
                    id: *id,
                    finding: finding.clone(),
                    heard: self.heard.clone().unwrap_or_default(),
                    at: at.clone(),
                    amended: None,
                });
            }
            Event::Withdrawn { id, .. } => {
                self.recorded.retain(|kept| kept.id != *id);
                self.last = None;
            }
            Event::Notice { text } | Event::Caution { text, .. } => self.notice = Some(text.clone()),
            Event::Unclear { heard, .. } => self.heard = Some(heard.clone()),
            // Talk stays in the room.
            Event::Aside { .. } | Event::Opened | Event::Closed => {}
        }
    }
}

/// The board as HTML.
pub fn drawn(grammar: &Grammar, board: &Board) -> Arc<str> {
    let latest = board.waiting.last().map(|(_, finding)| finding);
    let latest = latest.or_else(|| board.recorded.last().map(|kept| &kept.finding));
    let of_joint: Vec<Kept> = board
        .recorded
        .iter()
        .filter(|kept| latest.is_some_and(|latest| latest.joint == kept.finding.joint))
        .cloned()
        .collect();
    let waiting = board.waiting.iter().map(|(_, finding)| finding);
    let known = board
        .recorded
        .iter()
        .map(|kept| &kept.finding)
        .chain(waiting.clone());
    let mut left = latest
        .map(|latest| remains(grammar, latest, known))
        .unwrap_or_default();
    left.truncate(REMAINS);
    let (state, class) = match board.mood {
        Mood::Listening => ("Listening", "on"),
        Mood::StandingBy => ("Standing by: nothing is taken down", "by"),
        Mood::Ended => ("Not listening", "off"),
    };
    let last = board.recorded.iter().find(|kept| Some(kept.id) == board.last);
    let drawn = Drawn {
        state,
        class,
        heard: &board.heard,
        said: &board.said,
        asked: &board.asked,
        notice: &board.notice,
        waiting: waiting.map(|finding| written(grammar, finding)).collect(),
        last: last.map(|kept| written(grammar, &kept.finding)),
        count: board.recorded.len(),
        joints: joints(grammar, &of_joint),
        remains: left,
    };
    drawn.render().unwrap_or_default().into()
}

//! Events on the screen: a line for people, or a JSON object for programs.

use super::{output, print_json};
use crate::error::Result;
use crate::event::Event;
use crate::review::fields;

/// Prints events in one of the two ways.
pub struct Show {
    json: bool,
}

impl Show {
    /// As JSON objects, or as lines for people.
    pub fn new(json: bool) -> Show {
        Show { json }
    }

    /// Prints one event.
    pub fn event(&self, event: &Event) -> Result<()> {
        if self.json {
            print_json(event)
        } else {
            output(&line(event))
        }
    }

    /// Tells people something that is no event; with JSON it goes to standard error.
    pub fn hint(&self, text: &str) -> Result<()> {
        if self.json {
            eprintln!("{text}");
            return Ok(());
        }
        output(&format!("{:12}{text}\n", ""))
    }
}

fn line(event: &Event) -> String {
    let row = |name: &str, text: &str| format!("{name:12}{text}\n");
    match event {
        // An empty line before each utterance keeps what belongs together apart from the rest.
        Event::Heard { heard, start_s, .. } => format!("\n{}", row("heard", &at(*start_s, heard))),
        Event::Aside { heard, start_s, .. } => format!("\n{}", row("aside", &at(*start_s, heard))),
        Event::Unclear {
            heard, start_s, why, ..
        } => {
            format!(
                "\n{}",
                row("unclear", &format!("{} ({why})", at(*start_s, heard)))
            )
        }
        Event::Opened => row("open", "what is said next is dictation"),
        Event::Closed => row("closed", "nothing is taken as dictation"),
        Event::Proposed { finding, .. } => row("proposed", &fields(finding)),
        Event::Corrected { finding, .. } => row("corrected", &fields(finding)),
        Event::Disregarded { finding, .. } => row("disregarded", &fields(finding)),
        Event::Parked { finding, .. } => row("put aside", &fields(finding)),
        Event::Recorded { id, finding, .. } => row("recorded", &format!("{} (number {id})", fields(finding))),
        Event::Caution { text, source, .. } => {
            format!(
                "\n{}{}",
                row("caution", text),
                row("", &format!("source: {source}"))
            )
        }
        Event::Withdrawn { id, finding, .. } => {
            row("taken back", &format!("{} (number {id})", fields(finding)))
        }
        Event::Asked { question, .. } => row("asked", question),
        Event::Notice { text } => format!("\n{}", row("notice", text)),
        Event::Said { text } => row("said", &format!("“{text}”")),
    }
}

fn at(seconds: f64, words: &str) -> String {
    format!("{:>2}:{:04.1}  {words}", (seconds / 60.0) as u32, seconds % 60.0)
}

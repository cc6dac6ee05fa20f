//! Reports: a note of a visit, the progress over visits, a letter. Nothing stands in one that was not found or written.

mod comparison;
mod course;
mod findings;
mod parts;
mod pictures;
mod template;

use crate::grammar::Grammar;
use crate::record::{Case, Client, Done, Visit};
use crate::review::day;
use crate::review::document::{Block, Document, Level};

pub use template::{Kind, Template};

/// What is reported.
pub struct Report<'a> {
    pub grammar: &'a Grammar,
    pub client: &'a Client,
    pub case: &'a Case,
    pub visit: &'a Visit,
    /// What was done for the client, in order.
    pub history: &'a [Done],
    pub therapist: Option<&'a str>,
    /// The day on which it is written: local, ISO 8601.
    pub today: &'a str,
    /// The client's name stands in it.
    pub with_name: bool,
    /// What textbooks associate with the findings stands in it.
    pub with_hints: bool,
}

impl Report<'_> {
    /// The document that a template makes of it.
    pub fn document(&self, template: &Template) -> Document {
        let title = self.filled(&template.title);
        let mut blocks = vec![Block::Heading(Level::One, title.clone())];
        for part in &template.part {
            let shown = match (&part.text, part.show) {
                (Some(text), _) => Block::paragraphs(&self.filled(text)),
                (None, Some(show)) => parts::shown(self, show),
                (None, None) => Vec::new(),
            };
            if shown.is_empty() {
                continue;
            }
            if let Some(heading) = &part.heading {
                blocks.push(Block::Heading(Level::Two, self.filled(heading)));
            }
            blocks.extend(shown);
        }
        Document {
            title,
            language: "en".to_owned(),
            footer: self.filled(&template.footer),
            blocks,
        }
    }

    /// A text with its words in braces filled in. Without a name the client is a code everywhere.
    fn filled(&self, text: &str) -> String {
        let details = &self.client.details;
        let name = details.name.as_deref().filter(|_| self.with_name);
        let called = name.unwrap_or(&self.client.code);
        [
            ("{client}", called.to_owned()),
            ("{name}", called.to_owned()),
            ("{referrer}", details.referrer.clone().unwrap_or_default()),
            ("{therapist}", self.therapist.unwrap_or_default().to_owned()),
            ("{visit}", self.visit.number.to_string()),
            ("{date}", day(&self.visit.date)),
            ("{today}", day(self.today)),
        ]
        .into_iter()
        .fold(text.to_owned(), |text, (word, value)| text.replace(word, &value))
    }
}

//! What was done for a client, for reading.

use super::fields::{fields, plain};
use crate::finding::word_of;
use crate::record::{Done, What};

/// A line for each act, with the day before the first of each.
pub fn history_text(client: &str, history: &[Done]) -> String {
    let mut text = format!("Client {client}: everything that was done, oldest first\n");
    let mut day = String::new();
    for done in history {
        let (date, time) = local(&done.at);
        if date != day {
            text += &format!("\n{date}\n");
            day = date;
        }
        let what = match done.what {
            What::Added => "client added".into(),
            What::Described => "written about".into(),
            What::Merged => "codes merged".into(),
            What::Opened => "visit opened".into(),
            What::Closed => "signed off".into(),
            What::Withdrawn => "taken back".into(),
            What::Unclear => "not clear".into(),
            What::Parked => "put aside".into(),
            What::SoundAllowed => "sound may be kept".into(),
            What::SoundForbidden => "no sound may be kept".into(),
            What::SoundErased => "sound erased".into(),
            What::Cautioned => "caution".into(),
            what => word_of(what),
        };
        let mut about = done.finding.as_ref().map(fields).unwrap_or_default();
        if let Some(detail) = &done.detail {
            about += &plain(detail);
        }
        if let Some(id) = done.id {
            about += &format!(" (number {id})");
        }
        if let Some(heard) = &done.heard {
            about += &format!(" from “{}”", plain(heard));
        }
        let by = done.who.as_ref().map(|who| format!("by {}", plain(who)));
        let why = done.why.as_ref().map(|why| format!("because: {}", plain(why)));
        let parts = Some(about)
            .filter(|about| !about.is_empty())
            .into_iter()
            .chain(by)
            .chain(why);
        let about = parts.collect::<Vec<_>>().join(", ");
        text += format!("  {time}  {what:13}{about}").trim_end();
        text.push('\n');
    }
    text
}

/// Day and time where the computer stands, in one: "26 November 2026 21:08:17".
pub fn when(at: &str) -> String {
    let (day, time) = local(at);
    format!("{day} {time}").trim_end().to_string()
}

/// Day and time where the computer stands; as it is kept if it cannot be read.
fn local(at: &str) -> (String, String) {
    match at.parse::<jiff::Timestamp>() {
        Ok(at) => {
            let here = at.to_zoned_datetime(jiff::tz::TimeZone::system());
            (
                here.strftime("%-d %B %Y").to_string(),
                here.strftime("%H:%M:%S").to_string(),
            )
        }
        Err(_) => (plain(at), String::new()),
    }
}

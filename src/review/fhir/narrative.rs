//! What a resource says to people: plain XHTML, everything escaped.

use serde_json::{Value, json};

/// Paragraphs.
pub fn narrative<'a>(paragraphs: impl IntoIterator<Item = &'a str>) -> Value {
    let paragraphs = paragraphs
        .into_iter()
        .map(|text| format!("<p>{}</p>", escaped(text)));
    let inside: String = paragraphs.collect();
    json!({
        "status": "generated",
        "div": format!("<div xmlns=\"http://www.w3.org/1999/xhtml\">{inside}</div>"),
    })
}

/// What XML can't hold is a space.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            letter if letter.is_control() => out.push(' '),
            letter => out.push(letter),
        }
    }
    out
}

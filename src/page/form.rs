//! What is typed into forms.

/// What was typed, without the spaces around it; nothing if nothing was.
pub fn typed(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// A client's code as a part of an address.
pub fn in_address(code: &str) -> String {
    let mut text = String::new();
    for byte in code.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' => {
                text.push(char::from(byte))
            }
            other => text += &format!("%{other:02X}"),
        }
    }
    text
}

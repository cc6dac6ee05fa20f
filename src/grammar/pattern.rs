//! The phrase language of the grammar files: words, `[optional]`, `(either|or)`, `{number}` and `{}`, the value.

use std::fmt;

use super::check::Check;

/// A piece of a wording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    Word(String),
    /// A number of the named class.
    Number(String),
}

impl fmt::Display for Piece {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Piece::Word(word) => out.write_str(word),
            Piece::Number(class) => write!(out, "{{{class}}}"),
        }
    }
}

/// Most sentences that one wording may stand for; more is a slip, not a wording.
const MOST: usize = 4096;

/// Most brackets inside each other; each is read by a call of its own, and the stack is not endless.
const DEEPEST: usize = 32;

/// What is wrong in a pattern, where, as a byte offset, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    pub at: usize,
    pub message: String,
    pub remedy: &'static str,
    /// Which of the named checks looks for it.
    pub check: Check,
}

const BRACKETS: &str = "`[ ]` may be left out, `( | )` is a choice; close what is opened";

fn unclosed(at: usize, message: String) -> Slip {
    Slip {
        at,
        message,
        remedy: BRACKETS,
        check: Check::Readable,
    }
}

fn too_many() -> Slip {
    Slip {
        at: 0,
        message: format!("this wording stands for more than {MOST} sentences"),
        remedy: "write it as several shorter wordings",
        check: Check::NotTooWide,
    }
}

/// Every sequence of pieces that `pattern` stands for. `value` replaces `{}`.
pub fn expand(pattern: &str, value: &str) -> Result<Vec<Vec<Piece>>, Slip> {
    let mut parser = Parser {
        text: pattern,
        at: 0,
        depth: 0,
        value,
    };
    let sentences = parser.alternatives()?;
    match parser.peek() {
        Some(c) => Err(unclosed(parser.at, format!("`{c}` without its partner"))),
        None if sentences.iter().any(Vec::is_empty) => Err(Slip {
            at: 0,
            message: "this wording can be empty".into(),
            remedy: "leave something outside `[ ]`",
            check: Check::Readable,
        }),
        None => Ok(sentences),
    }
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
    /// Brackets open at once.
    depth: usize,
    value: &'a str,
}

impl Parser<'_> {
    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn take(&mut self, expected: char) -> Result<(), Slip> {
        if self.peek() == Some(expected) {
            self.at += expected.len_utf8();
            return Ok(());
        }
        Err(unclosed(self.at, format!("`{expected}` is missing")))
    }

    /// `a|b|c`, up to a closing bracket or the end.
    fn alternatives(&mut self) -> Result<Vec<Vec<Piece>>, Slip> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(unclosed(
                self.at,
                format!("brackets stand inside each other more than {DEEPEST} deep"),
            ));
        }
        let mut all = self.sequence()?;
        while self.peek() == Some('|') {
            self.at += 1;
            all.extend(self.sequence()?);
            if all.len() > MOST {
                return Err(too_many());
            }
        }
        self.depth -= 1;
        Ok(all)
    }

    fn sequence(&mut self) -> Result<Vec<Vec<Piece>>, Slip> {
        let mut sentences = vec![Vec::new()];
        loop {
            let choices = match self.peek() {
                None | Some('|' | ')' | ']') => return Ok(sentences),
                Some(c) if c.is_whitespace() => {
                    self.at += c.len_utf8();
                    continue;
                }
                Some('[') => {
                    self.at += 1;
                    let mut choices = self.alternatives()?;
                    self.take(']')?;
                    choices.push(Vec::new());
                    choices
                }
                Some('(') => {
                    self.at += 1;
                    let choices = self.alternatives()?;
                    self.take(')')?;
                    choices
                }
                Some('{') => self.slot()?,
                Some(_) => vec![self.words()],
            };
            if sentences.len() * choices.len() > MOST {
                return Err(too_many());
            }
            sentences = sentences
                .iter()
                .flat_map(|head| choices.iter().map(|tail| [head.clone(), tail.clone()].concat()))
                .collect();
        }
    }

    fn slot(&mut self) -> Result<Vec<Vec<Piece>>, Slip> {
        let open = self.at;
        self.at += 1;
        let Some(length) = self.text[self.at..].find('}') else {
            return Err(unclosed(open, "`}` is missing".into()));
        };
        let name = &self.text[self.at..self.at + length];
        self.at += length + 1;
        if name.is_empty() {
            let words = self
                .value
                .split_whitespace()
                .map(|w| Piece::Word(w.to_lowercase()))
                .collect();
            return Ok(vec![words]);
        }
        Ok(vec![vec![Piece::Number(name.to_string())]])
    }

    fn words(&mut self) -> Vec<Piece> {
        let rest = &self.text[self.at..];
        let length = rest
            .find(['[', ']', '(', ')', '{', '}', '|'])
            .unwrap_or(rest.len());
        self.at += length.max(1);
        // A hyphen joins what may be written as one word, two words, or with the hyphen: it is heard as two.
        rest[..length]
            .split(|c: char| c.is_whitespace() || c == '-')
            .filter(|w| !w.is_empty())
            .map(|w| Piece::Word(w.to_lowercase()))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spoken(pattern: &str, value: &str) -> Vec<String> {
        let mut all: Vec<String> = expand(pattern, value)
            .unwrap()
            .iter()
            .map(|pieces| {
                let words: Vec<String> = pieces.iter().map(Piece::to_string).collect();
                words.join(" ")
            })
            .collect();
        all.sort();
        all
    }

    #[test]
    fn brackets_expand_to_every_wording() {
        assert_eq!(spoken("[the] {} side", "left"), ["left side", "the left side"]);
        assert_eq!(spoken("(at|in) {degrees}", ""), ["at {degrees}", "in {degrees}"]);
        assert_eq!(spoken("pain-free", ""), ["pain free"]);
    }

    #[test]
    fn faults_are_placed() {
        assert_eq!(expand("[the {}", "left").unwrap_err().at, 7);
        assert_eq!(expand("the] {}", "left").unwrap_err().at, 3);
        assert_eq!(expand("the {degrees", "").unwrap_err().at, 4);
        assert!(expand("[a]", "").unwrap_err().message.contains("empty"));
    }
}

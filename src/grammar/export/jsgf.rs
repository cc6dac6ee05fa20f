//! The grammar as JSpeech Grammar Format 1.0 (W3C Note of 5 June 2000).

use std::fmt::Write;

use super::super::Grammar;
use super::REMARK;
use super::rules::{Expr, ROOT, rules};

/// The whole file.
pub fn jsgf(grammar: &Grammar) -> String {
    let mut out = String::from("#JSGF V1.0 UTF-8 en;\n");
    // Writing to a String does not fail.
    let _ = write!(
        out,
        "// Grammar {}. {REMARK}\ngrammar couchside;\n",
        grammar.version
    );
    for rule in rules(grammar) {
        let public = if rule.name == ROOT { "public " } else { "" };
        let _ = write!(out, "\n{public}<{}> =", rule.name);
        match &rule.expr {
            Expr::OneOf(ways) => {
                for (number, way) in ways.iter().enumerate() {
                    let bar = if number == 0 { "" } else { "| " };
                    let _ = write!(out, "\n    {bar}{}", written(way, false));
                }
            }
            whole => {
                let _ = write!(out, " {}", written(whole, false));
            }
        }
        out.push_str(";\n");
    }
    out
}

/// `inside`: it stands beside others, so that a choice needs its brackets.
fn written(expr: &Expr, inside: bool) -> String {
    let all = |ways: &[Expr], between: &str, inside| {
        let ways: Vec<String> = ways.iter().map(|way| written(way, inside)).collect();
        ways.join(between)
    };
    match expr {
        Expr::Word(word) => token(word),
        Expr::Rule(name) => format!("<{name}>"),
        Expr::Sequence(parts) => all(parts, " ", true),
        Expr::OneOf(ways) if inside => format!("({})", all(ways, " | ", false)),
        Expr::OneOf(ways) => all(ways, " | ", false),
        Expr::Optional(part) => format!("[{}]", written(part, false)),
        Expr::Repeat(part) => format!("({})+", written(part, false)),
    }
}

/// A word; in quotation marks where a sign in it means something to the format.
fn token(word: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '\'' | '_' | '-' | '.');
    if word.chars().all(plain) {
        word.to_string()
    } else {
        format!("\"{}\"", word.replace('\\', "\\\\").replace('"', "\\\""))
    }
}

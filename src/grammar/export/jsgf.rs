//! The grammar as JSpeech Grammar Format 1.0 (W3C Note of 5 June 2000).

use std::fmt::Write;

use super::super::Grammar;
use super::REMARK;
use super::rules::{Expr, ROOT, Way, rules, weighed};

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
                let ways = choices(ways).join("\n    | ");
                let _ = write!(out, "\n    {ways}");
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
    match expr {
        Expr::Word(word) => token(word),
        Expr::Rule(name) => format!("<{name}>"),
        Expr::Sequence(parts) => {
            let parts: Vec<String> = parts.iter().map(|part| written(part, true)).collect();
            parts.join(" ")
        }
        Expr::OneOf(ways) if inside => format!("({})", choices(ways).join(" | ")),
        Expr::OneOf(ways) => choices(ways).join(" | "),
        Expr::Nothing => "<NULL>".into(),
        Expr::Optional(part) => format!("[{}]", written(part, false)),
        Expr::Repeat(part) => format!("({})+", written(part, false)),
    }
}

/// The ways of a choice. If one has a weight, all have: the format wants it so.
fn choices(ways: &[Way]) -> Vec<String> {
    let weighed = weighed(ways);
    let written = |way: &Way| match weighed {
        true => format!("/{:.4}/ {}", way.weight.factor(), written(&way.expr, true)),
        false => written(&way.expr, false),
    };
    ways.iter().map(written).collect()
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

//! The grammar as Speech Recognition Grammar Specification 1.0, XML form (W3C Recommendation of 16 March 2004).

use std::fmt::Write;

use super::super::Grammar;
use super::REMARK;
use super::rules::{Expr, ROOT, rules, weighed};

/// The whole document.
pub fn srgs(grammar: &Grammar) -> String {
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    // Writing to a String does not fail.
    let _ = write!(
        out,
        "<!-- Grammar {}. {REMARK} -->\n\
         <grammar xmlns=\"http://www.w3.org/2001/06/grammar\" version=\"1.0\" xml:lang=\"en-GB\" mode=\"voice\" \
         root=\"{ROOT}\">\n",
        grammar.version
    );
    for rule in rules(grammar) {
        let scope = if rule.name == ROOT {
            " scope=\"public\""
        } else {
            ""
        };
        let _ = writeln!(out, "  <rule id=\"{}\"{scope}>", rule.name);
        element(&rule.expr, 4, &mut out);
        out.push_str("  </rule>\n");
    }
    out.push_str("</grammar>\n");
    out
}

/// Writes an expression as elements that may stand in a rule or an item, each on a line of its own.
fn element(expr: &Expr, indent: usize, out: &mut String) {
    let space = " ".repeat(indent);
    let mut item = |open: &str, inner: &Expr| {
        let _ = writeln!(out, "{space}<{open}>");
        element(inner, indent + 2, out);
        let _ = writeln!(out, "{space}</item>");
    };
    match expr {
        Expr::Optional(part) => item("item repeat=\"0-1\"", part),
        Expr::Repeat(part) => item("item repeat=\"1-\"", part),
        Expr::Word(word) => {
            let _ = writeln!(out, "{space}{}", escaped(word));
        }
        Expr::Rule(name) => {
            let _ = writeln!(out, "{space}<ruleref uri=\"#{name}\"/>");
        }
        Expr::Nothing => {
            let _ = writeln!(out, "{space}<ruleref special=\"NULL\"/>");
        }
        Expr::Sequence(parts) => {
            for part in parts {
                element(part, indent, out);
            }
        }
        Expr::OneOf(ways) => {
            let _ = writeln!(out, "{space}<one-of>");
            let weighed = weighed(ways);
            for way in ways {
                let weight = match weighed {
                    true => format!(" weight=\"{:.4}\"", way.weight.factor()),
                    false => String::new(),
                };
                match &way.expr {
                    Expr::Word(word) => {
                        let _ = writeln!(out, "{space}  <item{weight}>{}</item>", escaped(word));
                    }
                    Expr::Rule(name) => {
                        let _ = writeln!(out, "{space}  <item{weight}><ruleref uri=\"#{name}\"/></item>");
                    }
                    expr => {
                        let _ = writeln!(out, "{space}  <item{weight}>");
                        element(expr, indent + 4, out);
                        let _ = writeln!(out, "{space}  </item>");
                    }
                }
            }
            let _ = writeln!(out, "{space}</one-of>");
        }
    }
}

fn escaped(word: &str) -> String {
    word.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

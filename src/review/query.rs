//! A search as a therapist writes it → what findings must be like.

use std::sync::LazyLock;

use regex::Regex;

use crate::finding::{Finding, Kind};
use crate::grammar::Grammar;
use crate::interpret::sought;
use crate::record::{Comparison, Limit, Measure, Wanted};

/// "degrees < 30", "score at least 6", "difference > 10"; without a name it is degrees.
static LIMIT: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(
        r"(?ix) (?: \b(degrees|score|grade|girth|difference) \s* )?
          (<=|>=|<|>|=|\b(?:below|under|less\s+than|above|over|more\s+than|at\s+most|at\s+least)\b)
          \s* (-?\d+(?:\.\d+)?) \s* (?:°|degrees\b|cm\b)?",
    )
    .expect("a fixed pattern")
});
static PHRASE: LazyLock<Regex> = LazyLock::new(|| Regex::new("\"([^\"]*)\"").expect("a fixed pattern"));

/// What was asked for; `Wanted::texts` is what the grammar did not understand, and phrases in quotation marks.
pub fn query(grammar: &Grammar, text: &str) -> Wanted {
    let limits = LIMIT.captures_iter(text).filter_map(|found| {
        Some(Limit {
            of: measure(found.get(1).map_or("degrees", |name| name.as_str())),
            is: comparison(&found[2]),
            value: found[3].parse().ok()?,
        })
    });
    let limits: Vec<Limit> = limits.collect();
    let rest = LIMIT.replace_all(text, " ");
    let phrases = PHRASE
        .captures_iter(&rest)
        .map(|found| found[1].trim().to_string());
    let mut texts: Vec<String> = phrases.filter(|phrase| !phrase.is_empty()).collect();
    let sought = sought(grammar, &PHRASE.replace_all(&rest, " "));
    texts.extend(sought.words);
    Wanted {
        finding: (sought.finding != Finding::new(Kind::Movement)).then_some(sought.finding),
        limits,
        texts,
        ..Wanted::default()
    }
}

fn measure(name: &str) -> Measure {
    match name.to_ascii_lowercase().as_str() {
        "score" => Measure::Score,
        "grade" => Measure::Grade,
        "girth" => Measure::Girth,
        "difference" => Measure::Difference,
        _ => Measure::Degrees,
    }
}

fn comparison(words: &str) -> Comparison {
    let words = words.to_ascii_lowercase();
    match words.split_whitespace().collect::<Vec<_>>().join(" ").as_str() {
        "<" | "below" | "under" | "less than" => Comparison::Below,
        "<=" | "at most" => Comparison::AtMost,
        ">" | "above" | "over" | "more than" => Comparison::Above,
        ">=" | "at least" => Comparison::AtLeast,
        _ => Comparison::Equal,
    }
}

/// A limit as words: "degrees below 30".
pub fn limit_in_words(limit: &Limit) -> String {
    let is = match limit.is {
        Comparison::Below => "below",
        Comparison::AtMost => "at most",
        Comparison::Equal => "exactly",
        Comparison::AtLeast => "at least",
        Comparison::Above => "above",
    };
    let of = match limit.of {
        Measure::Degrees => "degrees",
        Measure::Score => "score of pain",
        Measure::Grade => "grade of strength",
        Measure::Girth => "girth in centimetres",
        Measure::Difference => "degrees between left and right",
    };
    format!("{of} {is} {}", limit.value)
}

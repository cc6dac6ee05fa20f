//! A finding → the sentence that is said back. The words are data, in `grammars/readback.toml`.

use crate::finding::{Degrees, Finding, Pain};
use crate::grammar::Grammar;

/// The finding as a sentence, every field that was heard included.
pub fn sentence(grammar: &Grammar, finding: &Finding) -> String {
    as_sentence(&clause(grammar, finding))
}

/// The same to be read: names and grades stand as they are kept, not as they are told apart by ear.
pub fn written(grammar: &Grammar, finding: &Finding) -> String {
    as_sentence(&clause_for(For::Eye, grammar, finding))
}

fn as_sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).chain(['.']).collect()
    })
}

/// The same as part of a longer sentence: without capital and full stop.
pub fn clause(grammar: &Grammar, finding: &Finding) -> String {
    clause_for(For::Ear, grammar, finding)
}

/// Who takes the sentence in.
#[derive(Clone, Copy, PartialEq)]
enum For {
    Ear,
    Eye,
}

fn clause_for(who: For, grammar: &Grammar, finding: &Finding) -> String {
    let groups = grammar.readback.order.iter().map(|group| {
        let parts = group
            .split(' ')
            .flat_map(|part| said(who, grammar, finding, part));
        parts.collect::<Vec<_>>().join(" ")
    });
    groups
        .filter(|group| !group.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

/// What must still be said, as a question; `None` if nothing.
pub fn question(grammar: &Grammar, finding: &Finding) -> Option<String> {
    let ask = &grammar.readback.ask;
    if let Some(field) = finding.missing.first() {
        return ask.get(field).cloned();
    }
    let doubt = finding.doubts.first()?;
    let apart = |value: &String| told_apart(grammar, value);
    let or = doubt.or.iter().map(apart).collect::<Vec<_>>().join(", ");
    Some(
        ask.get("doubt")?
            .replace("{said}", &apart(&doubt.said))
            .replace("{or}", &or),
    )
}

/// The words of one part of the sentence; nothing for a field that was not heard.
fn said(who: For, grammar: &Grammar, finding: &Finding, part: &str) -> Vec<String> {
    let words = &grammar.readback.finding;
    let put = |frame: &String, value: &str| frame.replace("{}", value);
    match part {
        "side" => finding.side.iter().map(name).collect(),
        "joint" => finding.joint.iter().cloned().collect(),
        "movement" => finding
            .movement
            .iter()
            .map(|movement| match who {
                For::Ear => told_apart(grammar, movement),
                For::Eye => movement.clone(),
            })
            .collect(),
        "muscle" => finding
            .muscle
            .iter()
            .map(|name| {
                spoken(
                    who,
                    name,
                    grammar.muscle(name).and_then(|muscle| muscle.say.as_ref()),
                )
            })
            .collect(),
        "test" => finding
            .test
            .iter()
            .map(|name| spoken(who, name, grammar.test(name).and_then(|test| test.say.as_ref())))
            .collect(),
        "structure" => finding.structure.iter().cloned().collect(),
        "level" => finding
            .level
            .iter()
            .map(|level| put(&words.level, level))
            .collect(),
        "result" => finding
            .result
            .iter()
            .map(|result| put(&words.result, result))
            .collect(),
        "laxity" => finding
            .laxity
            .iter()
            .map(|grade| put(&words.laxity, &grade.to_string()))
            .collect(),
        "girth_cm" => finding
            .girth_cm
            .iter()
            .map(|cm| put(&words.girth_cm, &cm.to_string()))
            .collect(),
        "mode" => finding.mode.iter().map(name).collect(),
        "degrees" => finding
            .degrees
            .iter()
            .map(|degrees| angle(grammar, finding, degrees))
            .collect(),
        "range" => finding
            .range
            .iter()
            .map(|range| put(&words.range, range))
            .collect(),
        "strength" => finding
            .strength
            .iter()
            .map(|grade| match who {
                For::Ear => put(&words.strength, &sign(grammar, grade)),
                For::Eye => put(&words.strength, grade),
            })
            .collect(),
        "power" => finding
            .power
            .iter()
            .map(|power| put(&words.power, power))
            .collect(),
        "end_feel" => finding
            .end_feel
            .iter()
            .map(|end_feel| put(&words.end_feel, end_feel))
            .collect(),
        "pain" => finding.pain.iter().map(|felt| pain(grammar, felt)).collect(),
        "signs" => (!finding.signs.is_empty())
            .then(|| finding.signs.join(", "))
            .into_iter()
            .collect(),
        "text" => finding.text.iter().map(|text| put(&words.text, text)).collect(),
        _ => Vec::new(),
    }
}

/// The contract's name of a value, which is also its spoken name.
fn name(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(name)) => name,
        _ => String::new(),
    }
}

/// The name as it is said back; to be read, as it is kept.
fn spoken(who: For, name: &str, say: Option<&String>) -> String {
    say.filter(|_| who == For::Ear)
        .map_or_else(|| name.to_string(), String::clone)
}

fn told_apart(grammar: &Grammar, word: &str) -> String {
    grammar
        .readback
        .told_apart
        .get(word)
        .cloned()
        .unwrap_or_else(|| word.to_string())
}

/// Degrees; of the movement that straightens a joint in words, because "minus" has two meanings in the trade.
fn angle(grammar: &Grammar, finding: &Finding, degrees: &Degrees) -> String {
    let words = &grammar.readback.finding;
    if let Some(from) = degrees.from {
        return fill_span(&words.degrees_from, from, degrees.to);
    }
    let joint = finding.joint.as_deref().and_then(|joint| grammar.joint(joint));
    let straightens = joint.and_then(|joint| Some(&joint.movements[joint.span?[0]].name));
    let frame = match (
        straightens == finding.movement.as_ref() && straightens.is_some(),
        degrees.to,
    ) {
        (true, ..=-1) => &words.degrees_short,
        (true, 1..) => &words.degrees_past,
        _ => &words.degrees,
    };
    let number = if std::ptr::eq(frame, &words.degrees) {
        degrees.to
    } else {
        degrees.to.abs()
    };
    frame.replace("{}", &signed(grammar, number))
}

fn pain(grammar: &Grammar, pain: &Pain) -> String {
    let words = &grammar.readback.finding;
    let mut parts = vec![if pain.felt {
        words.pain.clone()
    } else {
        words.no_pain.clone()
    }];
    parts.extend(
        pain.score
            .map(|score| words.pain_score.replace("{}", &score.to_string())),
    );
    parts.extend(pain.when.as_ref().map(|when| words.pain_when.replace("{}", when)));
    parts.extend(
        pain.arc
            .as_ref()
            .map(|arc| fill_span(&words.pain_arc, arc.from, arc.to)),
    );
    parts.join(" ")
}

fn fill_span(frame: &str, from: i32, to: i32) -> String {
    frame
        .replace("{from}", &from.to_string())
        .replace("{to}", &to.to_string())
}

/// A grade with its sign in words.
fn sign(grammar: &Grammar, grade: &str) -> String {
    let words = &grammar.readback.finding;
    match (grade.strip_suffix('+'), grade.strip_suffix('-')) {
        (Some(number), _) => words.plus.replace("{}", number),
        (_, Some(number)) => words.minus.replace("{}", number),
        _ => grade.to_string(),
    }
}

/// A number whose minus is said.
fn signed(grammar: &Grammar, number: i32) -> String {
    if number < 0 {
        format!("{} {}", grammar.readback.finding.below_zero, number.abs())
    } else {
        number.to_string()
    }
}

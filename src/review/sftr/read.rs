//! A written triple, as the findings that it says.

use super::Triple;
use crate::finding::{Degrees, Finding, Kind, Mode, Side, word_of};
use crate::grammar::Grammar;

/// Reads "right hip passive S 15-0-120": a side where the joint has sides, the joint, a mode if one is meant, the letter of the plane and
/// the triple.
///
/// # Errors
/// In words: what is missing or can't be.
pub fn read(grammar: &Grammar, text: &str) -> Result<Vec<Finding>, String> {
    let text = text.replace([',', ':'], " ");
    let words: Vec<&str> = text.split_whitespace().collect();
    let [rest @ .., plane, triple] = words.as_slice() else {
        return Err(
            "say the side, the joint, the letter of the plane, and three numbers such as 15-0-120".to_owned(),
        );
    };
    let triple: Triple = triple
        .parse()
        .map_err(|error: super::NotATriple| error.to_string())?;
    let is = |word: &str, of: String| word.eq_ignore_ascii_case(&of);
    let mut side = None;
    let mut mode = None;
    let mut joint = Vec::new();
    for word in rest {
        let sides = [Side::Left, Side::Right];
        let modes = [Mode::Active, Mode::Passive];
        if let Some(said) = sides.into_iter().find(|side| is(word, word_of(side))) {
            side = Some(said);
        } else if let Some(said) = modes.into_iter().find(|mode| is(word, word_of(mode))) {
            mode = Some(said);
        } else {
            joint.push(*word);
        }
    }
    let joint = joint.join(" ");
    let here = grammar
        .facts
        .pairs
        .iter()
        .filter(|pair| pair.joint.eq_ignore_ascii_case(&joint));
    let mut of_plane = here.clone().filter(|pair| is(plane, pair.plane.to_string()));
    let pair = of_plane.next().ok_or_else(|| {
        let planes: Vec<String> = here.map(|pair| pair.plane.to_string()).collect();
        match planes.is_empty() {
            true => format!("no pair of movements of “{joint}” is written so"),
            false => format!(
                "“{plane}” is no plane of the {joint}; there are {}",
                planes.join(", ")
            ),
        }
    })?;
    let sided = grammar.joint(&pair.joint).is_some_and(|joint| joint.sided);
    if sided && side.is_none() {
        return Err(format!("say also the side of the {joint}"));
    }
    let finding = |movement: &str, side: Option<Side>, degrees: i32| {
        let mut finding = Finding::new(Kind::Movement);
        finding.joint = Some(pair.joint.clone());
        finding.movement = Some(movement.to_owned());
        (finding.side, finding.mode) = (side, mode);
        finding.degrees = Some(Degrees {
            from: None,
            to: degrees,
        });
        finding
    };
    let [first, last] = match pair.is_of_sides() {
        true => [Some(Side::Left), Some(Side::Right)],
        false => [side; 2],
    };
    Ok(vec![
        finding(&pair.first, first, triple.first()),
        finding(&pair.last, last, triple.last()),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Kept, Visit, VisitDetails};
    use crate::review::sftr::written;

    fn visit(findings: Vec<Finding>) -> Visit {
        Visit {
            number: 1,
            date: "2026-01-10".to_owned(),
            opened: String::new(),
            signed: None,
            amended: None,
            details: VisitDetails::default(),
            findings: findings
                .into_iter()
                .map(|finding| Kept {
                    id: 1,
                    finding,
                    heard: String::new(),
                    at: String::new(),
                    amended: None,
                })
                .collect(),
            to_review: Vec::new(),
        }
    }

    #[test]
    fn what_is_written_is_read_as_it_was_found() {
        let grammar = Grammar::carried().unwrap();
        for text in [
            "right hip, passive: S 15-0-120 (extension – neutral – flexion)",
            "left hip, active: S 0-10-90 (extension – neutral – flexion)",
            "right shoulder: R 30-10-0 (external rotation – neutral – internal rotation)",
            "cervical spine, active: R 60-0-45 (left rotation – neutral – right rotation)",
            "left ankle, passive: S 20-0-45 (dorsiflexion – neutral – plantarflexion)",
        ] {
            let (short, _) = text.split_once(" (").unwrap();
            let written = written(&grammar, &visit(read(&grammar, short).unwrap()));
            let written: Vec<String> = written.iter().map(|one| one.in_words()).collect();
            assert_eq!(written, [text]);
        }
    }

    #[test]
    fn what_is_missing_is_asked_for() {
        let grammar = Grammar::carried().unwrap();
        for (text, why) in [
            ("hip S 15-0-120", "say also the side of the hip"),
            ("right hip X 15-0-120", "there are S, F, R"),
            ("right nose S 15-0-120", "of “nose”"),
            ("right hip S 20-10-90", "can't be"),
            ("right hip S 15-125", "not three numbers"),
            ("", "three numbers such as"),
        ] {
            let refused = read(&grammar, text).unwrap_err();
            assert!(refused.contains(why), "{text}: {refused}");
        }
    }
}

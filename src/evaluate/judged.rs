//! A case as it was heard → a judged utterance for each that was spoken.

use serde::Serialize;

use super::align::{Group, Span, align};
use super::case::{Case, Conditions, Truth};
use super::claim::Claim;
use super::run::HeardUtterance;
use super::verdict::{Judgement, Verdict, judge};
use crate::finding::Outcome;

/// What sort of utterance it is; each sort is counted for itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Class {
    /// Findings are dictated.
    #[serde(rename = "dictation")]
    Dictation,
    /// A control word, corrections included.
    #[serde(rename = "control word")]
    Control,
    /// Dictation that must not be taken: it has to be asked again.
    #[serde(rename = "to be refused")]
    ToRefuse,
    /// Talk.
    #[serde(rename = "talk")]
    Talk,
    /// Talk about joints, sides and numbers: the case says that it is near the domain.
    #[serde(rename = "talk near the domain")]
    NearTalk,
    /// Nothing was said, and something was proposed, done or asked.
    #[serde(rename = "nothing said")]
    Nothing,
}

impl Class {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Class; 6] = [
        Class::Dictation,
        Class::Control,
        Class::ToRefuse,
        Class::Talk,
        Class::NearTalk,
        Class::Nothing,
    ];

    pub(super) fn of(truth: &Truth) -> Class {
        let near = truth
            .conditions
            .kind
            .as_ref()
            .is_some_and(|kind| kind.to_lowercase().contains("near"));
        match truth.outcome {
            Outcome::Finding { .. } => Class::Dictation,
            Outcome::Control { .. } => Class::Control,
            Outcome::Unclear { .. } => Class::ToRefuse,
            Outcome::Aside if near => Class::NearTalk,
            Outcome::Aside => Class::Talk,
        }
    }

    /// Whether nothing may come of it.
    pub fn is_talk(self) -> bool {
        matches!(self, Class::Talk | Class::NearTalk)
    }
}

/// An utterance with its verdict.
#[derive(Clone, Debug)]
pub struct Judged {
    pub case: String,
    /// Its place among the utterances of the case, from 1; 0 if nothing was said.
    pub utterance: usize,
    pub class: Class,
    pub conditions: Conditions,
    pub said: String,
    /// The words heard, piece by piece.
    pub heard: Vec<String>,
    pub verdict: Verdict,
    pub meant: Claim,
    pub understood: Claim,
    /// What the verdict rests on; of utterances heard as one, only the first has it.
    pub judgement: Option<Judgement>,
    /// Heard in one piece with the utterance before or after it.
    pub run_together: bool,
    /// Seconds of it, where the case says so; else of the whole recording.
    pub seconds: f64,
}

/// Judges everything that was heard in a case. `length_s` is the recording's length in seconds.
///
/// All that is heard in a recording of one utterance belongs to it. In a continuous one the utterances are aligned.
pub fn judge_case(case: &Case, heard: &[HeardUtterance], length_s: f64) -> Vec<Judged> {
    let groups = match case.continuous {
        false => vec![Group {
            said: (0, 1),
            heard: (0, heard.len()),
        }],
        true => aligned(case, heard),
    };
    let mut judged = Vec::new();
    for group in groups {
        let truths = &case.utterances[group.said.0..group.said.1];
        let pieces = &heard[group.heard.0..group.heard.1];
        let meant = Claim::of(truths.iter().map(|truth| (&truth.outcome, false)));
        let understood = Claim::of(pieces.iter().map(|piece| (&piece.outcome, piece.amends)));
        let judgement = judge(&meant, &understood);
        let words: Vec<String> = pieces.iter().map(|piece| piece.words.clone()).collect();
        let one = |class, conditions, verdict| Judged {
            case: case.id.clone(),
            utterance: 0,
            class,
            conditions,
            said: String::new(),
            heard: words.clone(),
            verdict,
            meant: meant.clone(),
            understood: understood.clone(),
            judgement: None,
            run_together: truths.len() > 1,
            seconds: length_s,
        };
        let first = judged.len();
        for (at, truth) in truths.iter().enumerate() {
            let class = Class::of(truth);
            let verdict = match truths.len() > 1 && class.is_talk() {
                true => talk_beside(&judgement),
                false => judgement.verdict,
            };
            judged.push(Judged {
                utterance: group.said.0 + at + 1,
                said: truth.said.clone(),
                seconds: truth.span.map_or(length_s, |(start, end)| end - start),
                ..one(class, truth.conditions.clone(), verdict)
            });
        }
        if truths.is_empty() && !understood.is_nothing() {
            // It has the conditions of the recording as a whole.
            let conditions = case.utterances.first().map(|truth| truth.conditions.clone());
            judged.push(one(
                Class::Nothing,
                conditions.unwrap_or_default(),
                judgement.verdict,
            ));
        }
        if let Some(first) = judged.get_mut(first) {
            first.judgement = Some(judgement);
        }
    }
    judged
}

fn aligned(case: &Case, heard: &[HeardUtterance]) -> Vec<Group> {
    let said = case.utterances.iter().map(|truth| Span {
        seconds: truth.span,
        words: truth.said.clone(),
    });
    let pieces = heard.iter().map(|piece| Span {
        seconds: Some((piece.start_s, piece.end_s)),
        words: piece.words.clone(),
    });
    align(&said.collect::<Vec<_>>(), &pieces.collect::<Vec<_>>())
}

/// The verdict on talk that was heard in one piece with something else: only what is beyond all that was said in the
/// piece is held against it.
fn talk_beside(judgement: &Judgement) -> Verdict {
    if !judgement.extra.is_empty() {
        Verdict::FalseFinding
    } else if !judgement.extra_controls.is_empty() {
        Verdict::FalseControl
    } else if judgement.verdict == Verdict::TalkAsked {
        Verdict::TalkAsked
    } else {
        Verdict::Right
    }
}

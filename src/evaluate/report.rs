//! Everything that is reported, in the form of the JSON document.

use std::collections::BTreeMap;

use serde::Serialize;

use super::case::Conditions;
use super::claim::Claim;
use super::content::Difference;
use super::fields::{Confusion, FieldCounts, by_field, confusions};
use super::judged::{Class, Judged};
use super::latency::{Latency, latency};
use super::readers::{Readers, readers};
use super::run::{Run, Unread};
use super::tally::{Counts, Dimension, Share, Tally};
use super::verdict::Verdict;
use crate::finding::{Control, Finding};

/// The report of a run.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    pub program: &'static str,
    pub model: String,
    /// Version of the grammar.
    pub grammar: String,
    pub cases: usize,
    pub heard: usize,
    pub unread: Vec<Unread>,
    /// Seconds of sound heard.
    pub sound_s: f64,
    pub classes: Vec<ClassReport>,
    /// What came of talk, and of places where nothing was said.
    pub from_talk: FromTalk,
    /// By the name of what it is grouped by.
    pub by: BTreeMap<&'static str, Vec<GroupReport>>,
    pub fields: BTreeMap<String, FieldCounts>,
    pub confusions: Vec<Confusion>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub readers: Option<Readers>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub latency: Option<Latency>,
    pub utterances: Vec<UtteranceReport>,
}

/// The verdicts of one class of utterances.
#[derive(Clone, Debug, Serialize)]
pub struct ClassReport {
    pub class: Class,
    pub utterances: usize,
    pub verdicts: Vec<VerdictReport>,
}

/// How often a verdict was given.
#[derive(Clone, Debug, Serialize)]
pub struct VerdictReport {
    pub verdict: Verdict,
    #[serde(flatten)]
    pub share: Share,
}

/// One voice, noise, speed or kind.
#[derive(Clone, Debug, Serialize)]
pub struct GroupReport {
    pub group: String,
    pub classes: Vec<ClassReport>,
}

/// What talk led to, counted in findings and control words instead of utterances.
#[derive(Clone, Debug, Default, Serialize)]
pub struct FromTalk {
    /// Seconds of talk: as the cases state it, else the whole recording.
    pub seconds: f64,
    pub findings: usize,
    /// Those with nothing asked: confirmed blindly, they are recorded.
    pub findings_without_question: usize,
    pub control_words: usize,
}

/// One utterance.
#[derive(Clone, Debug, Serialize)]
pub struct UtteranceReport {
    pub case: String,
    /// Its place in the case, from 1; 0: nothing was said.
    pub utterance: usize,
    pub class: Class,
    pub verdict: Verdict,
    pub conditions: Conditions,
    pub said: String,
    pub heard: Vec<String>,
    /// Heard in one piece with a neighbour; then `meant` and `understood` are of all in the piece.
    pub run_together: bool,
    pub meant: Claim,
    pub understood: Claim,
    pub differences: Vec<Difference>,
    pub extra: Vec<Finding>,
    pub extra_controls: Vec<Control>,
}

impl Class {
    /// The verdicts that can be given to it, the best first.
    pub(super) fn verdicts(self) -> &'static [Verdict] {
        use Verdict::*;
        match self {
            Class::Dictation | Class::Control => &[
                Right,
                Asked,
                Refused,
                Missed,
                Incomplete,
                AskedElsewhere,
                FalseControl,
                SilentlyWrong,
            ],
            Class::ToRefuse => &[Right, Asked, Missed, AskedElsewhere, FalseControl, SilentlyWrong],
            Class::Talk | Class::NearTalk => &[Right, TalkAsked, FalseControl, FalseFinding],
            Class::Nothing => &[TalkAsked, FalseControl, FalseFinding],
        }
    }
}

impl Report {
    /// Adds a run up. `jobs` is how many cases were heard at a time.
    pub fn new(model: &str, grammar: &str, jobs: usize, run: Run) -> Report {
        let tally = Tally::of(&run.judged);
        let by = Dimension::ALL.map(|(dimension, name)| {
            let groups = tally.groups(dimension).map(|(group, counts)| GroupReport {
                group: group.into(),
                classes: classes(counts),
            });
            (name, groups.collect())
        });
        Report {
            program: env!("CARGO_PKG_VERSION"),
            model: model.into(),
            grammar: grammar.into(),
            cases: run.cases,
            heard: run.heard,
            unread: run.unread,
            sound_s: run.sound_s,
            classes: classes(&tally.total),
            from_talk: from_talk(&run.judged),
            by: by.into_iter().collect(),
            fields: by_field(&run.judged),
            confusions: confusions(&run.judged),
            readers: readers(&run.evidence),
            latency: latency(&run.times, jobs),
            utterances: run.judged.into_iter().map(utterance).collect(),
        }
    }

    /// The class with its verdicts, if there is an utterance of it.
    pub(super) fn class(&self, class: Class) -> Option<&ClassReport> {
        self.classes.iter().find(|report| report.class == class)
    }
}

fn classes(counts: &BTreeMap<Class, Counts>) -> Vec<ClassReport> {
    let report = |(class, counts): (&Class, &Counts)| ClassReport {
        class: *class,
        utterances: counts.all,
        verdicts: class
            .verdicts()
            .iter()
            .map(|verdict| VerdictReport {
                verdict: *verdict,
                share: Share::new(counts.of(*verdict), counts.all),
            })
            .collect(),
    };
    counts.iter().map(report).collect()
}

fn from_talk(judged: &[Judged]) -> FromTalk {
    let mut from = FromTalk::default();
    for one in judged {
        if one.class.is_talk() {
            from.seconds += one.seconds;
        }
        if let Some(judgement) = &one.judgement
            && (one.class.is_talk() || one.class == Class::Nothing)
        {
            let settled = judgement.extra.iter().filter(|finding| finding.is_settled());
            from.findings += judgement.extra.len();
            from.findings_without_question += settled.count();
            from.control_words += judgement.extra_controls.len();
        }
    }
    from
}

fn utterance(one: Judged) -> UtteranceReport {
    let (pairs, extra, extra_controls) = match one.judgement {
        Some(judgement) => (judgement.pairs, judgement.extra, judgement.extra_controls),
        None => Default::default(),
    };
    UtteranceReport {
        case: one.case,
        utterance: one.utterance,
        class: one.class,
        verdict: one.verdict,
        conditions: one.conditions,
        said: one.said,
        heard: one.heard,
        run_together: one.run_together,
        meant: one.meant,
        understood: one.understood,
        differences: pairs.into_iter().flat_map(|pair| pair.differences).collect(),
        extra,
        extra_controls,
    }
}

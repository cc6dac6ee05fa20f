//! The tables by voice, noise, speed and kind.

use std::fmt::{self, Formatter};

use super::judged::Class;
use super::report::{ClassReport, GroupReport};
use super::table::{NONE, percents, plain, table};
use super::tally::Share;
use super::verdict::Verdict;

/// What became of dictation in each group.
pub(super) fn dictation_by(dimension: &str, groups: &[GroupReport], to: &mut Formatter<'_>) -> fmt::Result {
    let rows = groups.iter().filter_map(|group| {
        let class = group
            .classes
            .iter()
            .find(|class| class.class == Class::Dictation)?;
        let [right, right_interval] = percents(&class.share(&[Verdict::Right]));
        let [silent, silent_interval] = percents(&class.share(&[Verdict::SilentlyWrong]));
        let percent = |verdicts: &[Verdict]| percents(&class.share(verdicts))[0].clone();
        Some(vec![
            plain(&group.group),
            class.utterances.to_string(),
            right,
            right_interval,
            percent(&[Verdict::Asked]),
            percent(&[Verdict::Refused]),
            percent(&[Verdict::Missed]),
            percent(&[
                Verdict::Incomplete,
                Verdict::AskedElsewhere,
                Verdict::FalseControl,
            ]),
            silent,
            silent_interval,
        ])
    });
    let head = format!("Dictation by {dimension}");
    let head = [
        &head,
        "n",
        "right %",
        "interval",
        "asked %",
        "refused %",
        "missed %",
        "other %",
        "silent %",
        "interval",
    ];
    table(&head, rows.collect(), to)
}

/// What became of control words and talk in each group.
pub(super) fn rest_by(dimension: &str, groups: &[GroupReport], to: &mut Formatter<'_>) -> fmt::Result {
    const FALSE: [Verdict; 2] = [Verdict::FalseFinding, Verdict::FalseControl];
    let rows = groups.iter().filter_map(|group| {
        let part = |class: Class, verdicts: &[Verdict]| {
            let class = group.classes.iter().find(|report| report.class == class);
            class.map_or(vec!["0".into(), NONE.into(), NONE.into()], |class| {
                let [percent, interval] = percents(&class.share(verdicts));
                vec![class.utterances.to_string(), percent, interval]
            })
        };
        let cells = [
            part(Class::Control, &[Verdict::Right]),
            part(Class::Talk, &FALSE),
            part(Class::NearTalk, &FALSE),
        ];
        let any = cells.iter().any(|cells| cells[0] != "0");
        any.then(|| {
            [plain(&group.group)]
                .into_iter()
                .chain(cells.into_iter().flatten())
                .collect()
        })
    });
    let head = format!("Control words and talk by {dimension}");
    let control = ["control n", "right %", "interval"];
    let talk = ["talk n", "false %", "interval", "near n", "false %", "interval"];
    let head: Vec<&str> = [head.as_str()].into_iter().chain(control).chain(talk).collect();
    table(&head, rows.collect(), to)
}

impl ClassReport {
    /// The share of some verdicts together.
    fn share(&self, verdicts: &[Verdict]) -> Share {
        let counted = self.verdicts.iter().filter(|one| verdicts.contains(&one.verdict));
        Share::new(counted.map(|one| one.share.count).sum(), self.utterances)
    }
}

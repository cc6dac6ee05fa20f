//! The report as a person reads it.

use std::fmt::{self, Display, Formatter};

use serde::Serialize;

use super::claim::Claim;
use super::content::line;
use super::judged::Class;
use super::report::{ClassReport, GroupReport, Report, UtteranceReport};
use super::tally::{Dimension, Share};
use super::verdict::Verdict;
use crate::interpret::in_words;

/// Confusions that are printed; the JSON document has them all.
const MOST_CONFUSIONS: usize = 20;

impl Display for Report {
    fn fmt(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let grammar: String = self.grammar.chars().take(12).collect();
        writeln!(
            to,
            "couchside {}, model {}, grammar {grammar}",
            self.program, self.model
        )?;
        let spoken = self.utterances.iter().filter(|one| one.utterance > 0).count();
        let minutes = self.sound_s / 60.0;
        writeln!(
            to,
            "{} of {} cases heard: {spoken} utterances in {minutes:.1} min of sound",
            self.heard, self.cases
        )?;
        for class in Class::ALL.iter().filter_map(|class| self.class(*class)) {
            self.class_table(class, to)?;
        }
        self.talk_line(to)?;
        for (dimension, name) in Dimension::ALL {
            let groups = self.by.get(name).map_or(&[][..], Vec::as_slice);
            if groups.len() > 1 {
                dictation_by(name, groups, to)?;
            }
            // Nothing is found in talk, so there is no kind of finding to tell it by.
            if groups.len() > 1 && dimension != Dimension::FindingKind {
                rest_by(name, groups, to)?;
            }
        }
        self.field_table(to)?;
        self.confusion_table(to)?;
        if let Some(latency) = &self.latency {
            writeln!(
                to,
                "\nDecoding, {} utterances, {} at a time: median {:.0} ms, 95th percentile {:.0} ms, {:.3} of the speech's time",
                latency.utterances, latency.jobs, latency.median_ms, latency.p95_ms, latency.of_speech
            )?;
        }
        if !self.unread.is_empty() {
            writeln!(
                to,
                "\nNot read or heard, and in none of the figures: {} cases",
                self.unread.len()
            )?;
            for unread in &self.unread {
                writeln!(to, "  {}", unread.why)?;
            }
        }
        Ok(())
    }
}

impl Report {
    fn class_table(&self, class: &ClassReport, to: &mut Formatter<'_>) -> fmt::Result {
        if class.class == Class::Nothing {
            return writeln!(
                to,
                "\nWhere nothing was said: {} times something came of it",
                class.utterances
            );
        }
        let rows = class.verdicts.iter().map(|one| {
            let [percent, interval] = percents(&one.share);
            vec![
                label(class.class, one.verdict),
                one.share.count.to_string(),
                percent,
                interval,
            ]
        });
        let head = format!("{}: {}", capital(&name(class.class)), class.utterances);
        table(&[&head, "count", "%", "95 % interval"], rows.collect(), to)
    }

    fn talk_line(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let talk = &self.from_talk;
        if talk.seconds == 0.0 {
            return Ok(());
        }
        writeln!(
            to,
            "\nFrom {:.1} min of talk: {} findings, {} of them with nothing asked, and {} control words; {:.1} an hour",
            talk.seconds / 60.0,
            talk.findings,
            talk.findings_without_question,
            talk.control_words,
            (talk.findings + talk.control_words) as f64 * 3600.0 / talk.seconds,
        )
    }

    fn field_table(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let rows = self.fields.iter().map(|(field, counts)| {
            let silently = Share::new(counts.wrong_silently, counts.said);
            let [percent, interval] = percents(&silently);
            // A field that was never said has nothing to be a share of.
            let numbers = [counts.said, counts.wrong_silently].map(|count| count.to_string());
            let more = [counts.wrong_other_asked, counts.wrong_asked, counts.right_asked];
            let fitting = counts.wrong_silently <= counts.said;
            [field.clone()]
                .into_iter()
                .chain(numbers)
                .chain(if fitting {
                    [percent, interval]
                } else {
                    [NONE.into(), NONE.into()]
                })
                .chain(more.map(|count| count.to_string()))
                .collect()
        });
        let head = [
            "Field",
            "said",
            "wrong",
            "%",
            "95 % interval",
            "other asked",
            "wrong, asked",
            "right, asked",
        ];
        table(&head, rows.collect(), to)
    }

    fn confusion_table(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let rows = self.confusions.iter().take(MOST_CONFUSIONS).map(|one| {
            let what = format!("{}: {} → {}", one.what.field, one.what.said, one.what.heard);
            vec![plain(&what), one.count.to_string(), one.silently.to_string()]
        });
        table(&["Field: said → heard", "count", "silently"], rows.collect(), to)?;
        match self.confusions.len().saturating_sub(MOST_CONFUSIONS) {
            0 => Ok(()),
            more => writeln!(to, "  … and {more} more, which --json lists"),
        }
    }
}

fn dictation_by(dimension: &str, groups: &[GroupReport], to: &mut Formatter<'_>) -> fmt::Result {
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

/// Control words and talk.
fn rest_by(dimension: &str, groups: &[GroupReport], to: &mut Formatter<'_>) -> fmt::Result {
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

impl Display for UtteranceReport {
    /// One line: the case, the verdict, the words said and heard, what was meant and what was understood.
    fn fmt(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let parts = [
            format!("{} {}", self.case, self.utterance),
            label(self.class, self.verdict),
            format!("said: {}", self.said),
            format!("heard: {}", self.heard.join(" / ")),
            format!("meant: {}", claim(&self.meant)),
            format!("understood: {}", claim(&self.understood)),
        ];
        write!(to, "{}", plain(&parts.join(" | ")))
    }
}

fn claim(claim: &Claim) -> String {
    let controls = claim.controls.iter().map(name);
    let findings = claim
        .findings
        .iter()
        .map(|finding| format!("[{}]", line(finding)));
    let unclear = claim.unclear.then(|| "say again?".to_string());
    let all: Vec<String> = controls.chain(findings).chain(unclear).collect();
    if all.is_empty() {
        "nothing".into()
    } else {
        all.join(" ")
    }
}

/// The verdict as it is printed for a class.
fn label(class: Class, verdict: Verdict) -> String {
    match (class, verdict) {
        (Class::Dictation, Verdict::Right) => "exactly right".into(),
        (Class::ToRefuse, Verdict::Right) => "refused, as it must be".into(),
        (Class::Talk | Class::NearTalk, Verdict::Right) => "left alone".into(),
        _ => name(verdict),
    }
}

/// What a table shows where there is nothing to show.
const NONE: &str = "–";

/// A share in per cent and its interval.
fn percents(share: &Share) -> [String; 2] {
    let percent = share
        .percent
        .map_or(NONE.into(), |percent| format!("{percent:.1}"));
    let interval = share
        .interval
        .map_or(NONE.into(), |[low, high]| format!("{low:.1}–{high:.1}"));
    [percent, interval]
}

/// Columns under a head, the first to the left and the others to the right; nothing if there are no rows.
fn table(head: &[&str], rows: Vec<Vec<String>>, to: &mut Formatter<'_>) -> fmt::Result {
    if rows.is_empty() {
        return Ok(());
    }
    let wide = |text: &str| text.chars().count();
    let width = |column: usize| {
        let cells = rows.iter().map(|row| wide(&row[column]));
        cells.max().unwrap_or_default().max(wide(head[column]))
    };
    let widths: Vec<usize> = (0..head.len()).map(width).collect();
    writeln!(to)?;
    let mut print = |cells: &[&str]| {
        write!(to, "{:<1$}", cells[0], widths[0])?;
        for (cell, width) in cells.iter().zip(&widths).skip(1) {
            write!(to, "  {cell:>width$}")?;
        }
        writeln!(to)
    };
    print(head)?;
    rows.iter()
        .try_for_each(|row| print(&row.iter().map(String::as_str).collect::<Vec<_>>()))
}

/// A name as the JSON document writes it.
fn name(of: impl Serialize) -> String {
    serde_json::to_value(of).map_or_else(|_| String::new(), |value| in_words(&value))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Words could hold what a terminal takes for a command; it is shown as a space.
fn plain(text: &str) -> String {
    text.replace(char::is_control, " ")
}

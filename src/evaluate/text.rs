//! The report as a person reads it.

use std::fmt::{self, Display, Formatter};

use super::by_group::{dictation_by, rest_by};
use super::judged::Class;
use super::report::{ClassReport, Report};
use super::table::{NONE, capital, label, name, percents, plain, table};
use super::tally::{Dimension, Share};

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
        self.reader_table(to)?;
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
            for (what, answer) in [
                ("all", &latency.answer),
                ("whole findings", &latency.answer_to_findings),
            ] {
                if let Some(answer) = answer {
                    writeln!(
                        to,
                        "From the end of speech to the answer, {what}: {} utterances, median {:.0} ms, 95th percentile {:.0} ms",
                        answer.utterances, answer.median_ms, answer.p95_ms
                    )?;
                }
            }
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

    fn reader_table(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let Some(readers) = &self.readers else {
            return Ok(());
        };
        let rows = [
            ("the free transcript, read as text", &readers.free),
            ("the sentence that sounds most like it", &readers.by_sound),
            ("the search over the model's scores", &readers.by_score),
            ("both together", &readers.both),
        ];
        let rows = rows.map(|(name, share)| {
            let [percent, interval] = percents(share);
            vec![name.into(), share.count.to_string(), percent, interval]
        });
        let head = format!("First choice right, of {} single utterances", readers.both.of);
        table(&[&head, "count", "%", "95 % interval"], rows.into(), to)
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

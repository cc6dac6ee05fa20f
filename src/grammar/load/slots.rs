//! Lists and phrases → fragments: which slot each file's entries fill.

use super::super::automaton::FragmentId;
use super::super::error::GrammarError;
use super::super::file::{List, Phrase, Text, Wording};
use super::super::fragment::{Fill, Fragment};
use super::super::pattern::Piece;
use super::super::weight::Weight;
use super::Loader;

impl Loader<'_> {
    /// Adds the values of a list, each inside the list's frames.
    pub(super) fn list(&mut self, list: &List) -> Result<(), GrammarError> {
        for value in &list.value {
            let name = value.is.as_ref().clone();
            let fill = match list.slot.as_ref().as_str() {
                "side" => Fill::Side(self.known(&value.is)?),
                "mode" => Fill::Mode(self.known(&value.is)?),
                "range" => Fill::Range(name),
                "end feel" => Fill::EndFeel(name),
                "power" => Fill::Power(name),
                "grade" => Fill::Grade(name),
                "pain" => match name.as_str() {
                    "felt" => Fill::PainFelt(true),
                    "none" => Fill::PainFelt(false),
                    _ => {
                        let message = format!("pain is `felt` or `none`, not `{name}`");
                        return Err(self.fault(value.is.span().start, message, "use one of the two"));
                    }
                },
                "pain when" => Fill::PainWhen(name),
                "other side" => Fill::OtherSide,
                "as side" => Fill::As(self.known(&value.is)?),
                "structure" => Fill::Structure(name),
                "girth" => Fill::Girth(name),
                "level" => Fill::Level(name),
                "position" => {
                    self.positions.insert(name.clone());
                    Fill::Position(name)
                }
                "landmark" => Fill::Landmark(name),
                "result" => Fill::Result(name),
                "pain sign" => {
                    self.pain_signs.insert(name.clone());
                    Fill::PainSign(name)
                }
                "range sign" => Fill::RangeSign {
                    range: value.range.clone().ok_or_else(|| {
                        let message = format!("`{name}` needs `range`, the range in words that it says too");
                        self.fault(
                            value.is.span().start,
                            message,
                            "add for example: range = \"limited\"",
                        )
                    })?,
                    sign: name,
                },
                "local sign" => Fill::LocalSign(name),
                "observation" => Fill::Observation(name),
                "palpation" => match name.as_str() {
                    "tender" => Fill::Tender(true),
                    "not tender" => Fill::Tender(false),
                    _ => {
                        let message = format!("palpation is `tender` or `not tender`, not `{name}`");
                        return Err(self.fault(value.is.span().start, message, "use one of the two"));
                    }
                },
                // What was not done, and that nothing was found, are kept as signs are.
                "not tested" | "normal" => Fill::Sign(name),
                "sign" => {
                    self.signs.insert(name.clone());
                    Fill::Sign(name)
                }
                "control" => Fill::Control {
                    control: self.known(&value.is)?,
                    opens: value.opens,
                    everyday: value.everyday,
                },
                _ => return Err(self.unknown_slot(&list.slot)),
            };
            if value.still {
                self.still.insert(value.is.as_ref().clone());
            }
            if !value.sided {
                self.midline.insert(value.is.as_ref().clone());
            }
            let named = value.is.as_ref();
            let fragment = self.add(fill.clone(), named);
            let after = self.automaton.add_fragment(Fragment {
                fill,
                after: true,
                place: None,
                with_result: false,
            });
            self.names.push(named.clone());
            for said in &value.said {
                // What people say to each other as well acts on nothing by itself.
                if list.slot.as_ref() == "control" && !value.everyday {
                    let words = self.plain_words(&said.text)?;
                    self.controls.extend(words);
                }
                for (frames, fragment) in [(&list.phrases, fragment), (&list.phrases_after, after)] {
                    for frame in frames {
                        self.framed(frame, said, fragment)?;
                    }
                }
            }
        }
        Ok(())
    }

    fn unknown_slot(&self, slot: &Text) -> GrammarError {
        self.fault(
            slot.span().start,
            format!("there is no slot `{}`", slot.as_ref()),
            "`grammars/README.md` lists the slots",
        )
    }

    /// Adds `said`, which may itself hold brackets, inside its frame.
    fn framed(&mut self, frame: &Wording, said: &Wording, fragment: FragmentId) -> Result<(), GrammarError> {
        let weight = self.weight(said)?;
        for words in self.plain_words(&said.text)? {
            self.wording(frame, &words.join(" "), fragment, &said.text, weight)?;
        }
        Ok(())
    }

    /// Adds wordings around numbers, or without a value of their own.
    pub(super) fn phrase(&mut self, phrase: &Phrase) -> Result<(), GrammarError> {
        let template = || {
            phrase.is.clone().ok_or_else(|| {
                self.fault(
                    phrase.slot.span().start,
                    format!(
                        "`{}` needs `is`, the words in which the number is kept",
                        phrase.slot.as_ref()
                    ),
                    "add for example: is = \"{} cm\"",
                )
            })
        };
        // How many numbers a wording holds; a measure may have tenths.
        let (fill, numbers) = match phrase.slot.as_ref().as_str() {
            "degrees" => (Fill::Degrees, 1..=1),
            "degrees short" => (Fill::DegreesShort, 1..=1),
            "degrees past" => (Fill::DegreesPast, 1..=1),
            "span" => (Fill::Span, 2..=2),
            "neutral" => (Fill::Neutral, 0..=0),
            "about" => (Fill::About(template()?), 1..=1),
            "ask" => (Fill::Ask(template()?), 0..=0),
            "number" => (Fill::Number, 1..=1),
            "strength" => (Fill::Strength, 1..=1),
            "more" => (Fill::More, 1..=1),
            "less" => (Fill::Less, 1..=1),
            "level" => (Fill::LevelAt(template()?), 1..=1),
            "measure" => (Fill::Measure(template()?), 1..=2),
            "pain score" => (Fill::PainScore, 1..=1),
            "pain arc" => (Fill::PainArc, 2..=2),
            "pain of neither" => (Fill::PainOfNeither, 0..=0),
            "copy" => (Fill::Copy, 0..=0),
            "copy end feel" => (Fill::CopyEndFeel, 0..=0),
            "note" => (Fill::Note, 0..=0),
            _ => return Err(self.unknown_slot(&phrase.slot)),
        };
        let place = match phrase.place {
            true => Some(template()?),
            false => None,
        };
        if let (Some(unit), Fill::Measure(template)) = (&phrase.unit, &fill) {
            self.units.insert(unit.clone(), template.clone());
        }
        self.names.push(phrase.slot.as_ref().clone());
        let fragment = self.automaton.add_fragment(Fragment {
            fill,
            after: false,
            place,
            with_result: false,
        });
        for said in &phrase.said {
            for pieces in self.expanded(&said.text, "")? {
                let given = pieces
                    .iter()
                    .filter(|piece| matches!(piece, Piece::Number(_)))
                    .count();
                if !numbers.contains(&given) {
                    return Err(self.fault(
                        said.span().start,
                        format!(
                            "a wording of `{}` must hold {} numbers, not {given}",
                            phrase.slot.as_ref(),
                            numbers.end()
                        ),
                        "write a number outside `[ ]`, so that it is always said",
                    ));
                }
            }
            self.wording(said, "", fragment, &said.text, Weight::NONE)?;
        }
        Ok(())
    }
}

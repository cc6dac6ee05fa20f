//! The files in `muscles/` and `tests/` → what is tested by name.

use std::collections::BTreeMap;

use super::super::automaton::Step;
use super::super::error::GrammarError;
use super::super::file::{MuscleFile, TestEntry, TestFile, Wording};
use super::super::fragment::{Fill, Fragment};
use super::super::pattern::{Piece, expand};
use super::super::weight::Weight;
use super::super::{Muscle, Scale, Test};
use super::Loader;

/// Names that a wording can stand for, by its words; how it was tested, where the wording says so; and whether it is meant
/// with its result only.
type Named = BTreeMap<(Vec<String>, Option<String>, bool), (Vec<usize>, Weight)>;

/// The tests of which words are a result, with that result, and the weight of the words.
type Results = BTreeMap<Vec<String>, (Vec<(usize, String)>, Weight)>;

/// What is said around names, and its weight.
pub(super) type Frame = (String, Weight);

impl Loader<'_> {
    /// Adds every muscle.
    pub(super) fn muscles(&mut self, frames: &[Frame]) -> Result<(), GrammarError> {
        let mut named = Named::new();
        for file in self.source.under("muscles") {
            self.file = file.clone();
            let entries: MuscleFile = self.source.read(&file)?;
            for entry in entries.muscle {
                let number = self.muscles.len();
                self.gather(&mut named, frames, &entry.said, None, false, number)?;
                self.gather(&mut named, &[], &entry.said_with_result, None, true, number)?;
                for wording in &entry.wording {
                    let level = Some(&wording.level);
                    self.gather(&mut named, frames, &wording.said, level, false, number)?;
                }
                self.muscles.push(Muscle {
                    name: entry.is.into_inner(),
                    joint: entry.joint,
                    sided: entry.sided,
                    say: entry.say,
                });
            }
        }
        for ((words, level, with_result), (candidates, weight)) in named {
            self.name(&words, Fill::Muscle { candidates, level }, weight, with_result);
        }
        Ok(())
    }

    /// Adds every test.
    pub(super) fn tests(&mut self, frames: &[Frame]) -> Result<(), GrammarError> {
        let mut named = Named::new();
        let mut results = Results::new();
        for file in self.source.under("tests") {
            self.file = file.clone();
            let entries: TestFile = self.source.read(&file)?;
            for entry in entries.test {
                let number = self.tests.len();
                self.gather(&mut named, frames, &entry.said, None, false, number)?;
                self.gather(&mut named, &[], &entry.said_whole, None, false, number)?;
                self.gather(&mut named, &[], &entry.said_with_result, None, true, number)?;
                for words in &entry.finding_words {
                    for said in &words.said {
                        let weight = self.weight(said)?;
                        for sentence in self.plain_words(&said.text)? {
                            let (of, likeliest) = results.entry(sentence).or_insert((Vec::new(), weight));
                            *likeliest = weight.max(*likeliest);
                            of.push((number, words.result.clone()));
                        }
                    }
                }
                let scale = self.scale(&entry)?;
                self.tests.push(Test {
                    name: entry.is.into_inner(),
                    joints: entry.joints,
                    sided: entry.sided,
                    say: entry.say,
                    scale,
                });
            }
        }
        for ((words, _, with_result), (mut candidates, weight)) in named {
            // The test that is called just so is meant first, and the others are the ones that it may be as well.
            candidates.sort_by_key(|&test| self.tests[test].name.to_lowercase() != words.join(" "));
            self.name(&words, Fill::Test(candidates), weight, with_result);
        }
        for (words, (of, weight)) in results {
            self.name(&words, Fill::ResultOf(of), weight, false);
        }
        Ok(())
    }

    /// What a bare number after the test's name means.
    fn scale(&self, entry: &TestEntry) -> Result<Option<Scale>, GrammarError> {
        let Some(scale) = &entry.scale else {
            return Ok(None);
        };
        let fault = |message: String, remedy: &str| self.fault(scale.span().start, message, remedy);
        match (
            scale.as_ref().as_str(),
            entry.most,
            self.units.get(scale.as_ref()),
        ) {
            ("laxity", _, _) => Ok(Some(Scale::Laxity)),
            ("degrees", _, _) => Ok(Some(Scale::Degrees)),
            ("count", Some(most), _) => Ok(Some(Scale::Count(most))),
            ("count", None, _) => Err(fault(
                "a count needs `most`, the highest number that it can be".into(),
                "add for example: most = 5",
            )),
            (_, _, Some(template)) => Ok(Some(Scale::Unit(template.clone()))),
            (other, ..) => Err(fault(
                format!("there is no scale `{other}`"),
                "use `laxity`, `degrees`, `count`, or a `unit` of measures.toml",
            )),
        }
    }

    /// Notes every sentence of `said`, in each frame, as a name of `number`.
    fn gather(
        &self,
        named: &mut Named,
        frames: &[Frame],
        said: &[Wording],
        level: Option<&String>,
        with_result: bool,
        number: usize,
    ) -> Result<(), GrammarError> {
        for said in said {
            let weight = self.weight(said)?;
            for words in self.plain_words(&said.text)? {
                self.not_too_large(self.automaton.size().0 + named.len(), &said.text)?;
                let mut sentences = Vec::new();
                for (frame, of_frame) in frames {
                    // The frames are another file's: they were checked when that was read.
                    let framed = expand(frame, &words.join(" ")).unwrap_or_default();
                    sentences.extend(framed.into_iter().map(|pieces| (pieces, weight + *of_frame)));
                }
                if frames.is_empty() {
                    sentences.push((words.into_iter().map(Piece::Word).collect(), weight));
                }
                for (pieces, weight) in sentences {
                    let words: Vec<String> = pieces.iter().map(Piece::to_string).collect();
                    let entry = named.entry((words, level.cloned(), with_result));
                    let (candidates, likeliest) = entry.or_insert((Vec::new(), weight));
                    *likeliest = weight.max(*likeliest);
                    if !candidates.contains(&number) {
                        candidates.push(number);
                    }
                }
            }
        }
        Ok(())
    }

    fn name(&mut self, words: &[String], fill: Fill, weight: Weight, with_result: bool) {
        self.names.push(words.join(" "));
        let fragment = self.automaton.add_fragment(Fragment {
            fill,
            after: false,
            place: None,
            with_result,
        });
        let steps: Vec<Step> = words
            .iter()
            .map(|word| Step::Word(self.lexicon.add(word)))
            .collect();
        self.automaton.add_wording(&steps, fragment, weight);
    }
}

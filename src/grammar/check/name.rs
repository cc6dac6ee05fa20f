//! The named checks of a grammar.

/// One thing that must hold for the grammar files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Check {
    Readable,
    NumberKnown,
    NotTooWide,
    OneMeaning,
    Reach,
    TricksAreSigns,
    SpeaksNoControl,
    ReadbackWhole,
    ListUsed,
    NoOverlap,
    SoundsAlikeKnown,
    Pronounced,
    TalkIsNotDictation,
    ExamplesRead,
    EveryValueHasAnExample,
    CounterExamplesLeftAlone,
    GuideUnderstood,
}

impl Check {
    /// Every check, in the order in which they run: the later ones read sentences with what the first ones allow.
    pub const ALL: [Check; 17] = [
        Check::Readable,
        Check::NumberKnown,
        Check::NotTooWide,
        Check::OneMeaning,
        Check::Reach,
        Check::TricksAreSigns,
        Check::SpeaksNoControl,
        Check::ReadbackWhole,
        Check::ListUsed,
        Check::NoOverlap,
        Check::SoundsAlikeKnown,
        Check::Pronounced,
        Check::TalkIsNotDictation,
        Check::ExamplesRead,
        Check::EveryValueHasAnExample,
        Check::CounterExamplesLeftAlone,
        Check::GuideUnderstood,
    ];

    /// Its name, one word.
    pub fn name(self) -> &'static str {
        match self {
            Check::Readable => "readable",
            Check::NumberKnown => "number-known",
            Check::NotTooWide => "not-too-wide",
            Check::OneMeaning => "one-meaning",
            Check::Reach => "reach",
            Check::TricksAreSigns => "tricks-are-signs",
            Check::SpeaksNoControl => "speaks-no-control",
            Check::ReadbackWhole => "readback-whole",
            Check::ListUsed => "list-used",
            Check::NoOverlap => "no-overlap",
            Check::SoundsAlikeKnown => "sounds-alike-known",
            Check::Pronounced => "pronounced",
            Check::TalkIsNotDictation => "talk-is-not-dictation",
            Check::ExamplesRead => "examples-read",
            Check::EveryValueHasAnExample => "every-value-has-an-example",
            Check::CounterExamplesLeftAlone => "counter-examples-left-alone",
            Check::GuideUnderstood => "guide-understood",
        }
    }

    /// What holds when it is passed.
    pub fn means(self) -> &'static str {
        match self {
            Check::Readable => "every file is laid out as it should be",
            Check::NumberKnown => "every kind of number is known",
            Check::NotTooWide => "no wording stands for too many sentences",
            Check::OneMeaning => "no wording means two things in one place",
            Check::Reach => "every movement's reach runs from low to high",
            Check::TricksAreSigns => "every trick movement is a sign that can be said",
            Check::SpeaksNoControl => "nothing that is said back holds a control word",
            Check::ReadbackWhole => "every part of a finding is said back",
            Check::ListUsed => "every file and every list is used",
            Check::NoOverlap => "no wording has a meaning in two places, but for those that are listed",
            Check::SoundsAlikeKnown => "every word that sounds like another is in the vocabulary",
            Check::Pronounced => "it is known how every word is pronounced",
            Check::TalkIsNotDictation => {
                "no word of talk is a wording on its own, but for those that are listed"
            }
            Check::ExamplesRead => "every example is read as it should be",
            Check::EveryValueHasAnExample => "every value has an example",
            Check::CounterExamplesLeftAlone => "nothing is made of a counter-example",
            Check::GuideUnderstood => "everything that the guide tells people to say is understood",
        }
    }
}

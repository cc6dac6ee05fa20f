//! What a stretch of words contributes to a finding.

use crate::finding::{Control, Mode, Side};

/// A wording's meaning. A finding is a set of these, in any order.
#[derive(Clone, Debug, PartialEq)]
pub enum Fill {
    Side(Side),
    /// The side opposite to the one said before.
    OtherSide,
    /// Index into the grammar's joints.
    Joint(usize),
    /// Every movement that this wording can name, as (joint, movement) indices.
    Movement(Vec<(usize, usize)>),
    /// Every muscle that this wording can name, and what the wording says of how it was tested.
    Muscle {
        candidates: Vec<usize>,
        level: Option<String>,
    },
    /// Every test that this wording can name.
    Test(Vec<usize>),
    /// What is felt with the fingers.
    Structure(String),
    /// The part that is measured around.
    Girth(String),
    /// Which digit, or at which height.
    Level(String),
    /// The same with a number in it: `{}` is the number.
    LevelAt(String),
    /// How the client lies, sits or is held.
    Position(String),
    Mode(Mode),
    Range(String),
    EndFeel(String),
    Power(String),
    /// A grade of strength in words.
    Grade(String),
    PainFelt(bool),
    /// No pain in either of two findings of a breath.
    PainOfNeither,
    /// Pain under the finger.
    Tender(bool),
    PainWhen(String),
    PainScore,
    PainArc,
    Degrees,
    /// Degrees short of neutral.
    DegreesShort,
    /// Degrees beyond neutral.
    DegreesPast,
    Span,
    /// 0 degrees, in words.
    Neutral,
    /// A number of degrees that was judged, and the sign that says so.
    About(String),
    /// A number whose meaning the mode, the muscle or the test decides.
    Number,
    Strength,
    /// So many degrees more than another finding.
    More,
    /// So many degrees less.
    Less,
    /// The finding that it is measured by: the one of this side.
    As(Side),
    /// How far, by a mark on the body.
    Landmark(String),
    /// A number with the name of its unit.
    Measure(String),
    Result(String),
    /// The result of those tests of which these words are said.
    ResultOf(Vec<(usize, String)>),
    Sign(String),
    /// A sign that says that pain is felt, and where or of what kind.
    PainSign(String),
    /// A sign that says how much the range is limited, and the range in words.
    RangeSign {
        range: String,
        sign: String,
    },
    /// A sign of a part of the body, not of its movement.
    LocalSign(String),
    /// A sign of how somebody stands or walks.
    Observation(String),
    /// Dictation that cannot be kept as a finding; it is asked for in other words, for this reason.
    Ask(String),
    /// The results of the finding before.
    Copy,
    /// The end feel of the finding before.
    CopyEndFeel,
    /// Opens free words.
    Note,
    Control {
        control: Control,
        opens: bool,
        /// People also say it to each other: it counts only beside what it corrects.
        everyday: bool,
    },
    /// The therapist's own word, before dictation only.
    Cue,
    /// No meaning of its own; the recogniser listens for it or not.
    Filler {
        heard: bool,
    },
}

/// The places of a finding; each is said at most once in a finding, but for signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum Slot {
    Side,
    Joint,
    Movement,
    Muscle,
    Test,
    Structure,
    Girth,
    Level,
    Position,
    Mode,
    As,
    Amount,
    Range,
    EndFeel,
    Power,
    PainFelt,
    PainWhen,
    PainScore,
    PainArc,
    Strength,
    Result,
    Sign,
    LocalSign,
    Observation,
    Copy,
    /// Outside findings.
    None,
}

impl Fill {
    /// Which place it fills.
    pub fn slot(&self) -> Slot {
        match self {
            Fill::Side(_) | Fill::OtherSide => Slot::Side,
            Fill::Joint(_) => Slot::Joint,
            Fill::Movement(_) => Slot::Movement,
            Fill::Muscle { .. } => Slot::Muscle,
            Fill::Test(_) => Slot::Test,
            Fill::Structure(_) => Slot::Structure,
            Fill::Girth(_) => Slot::Girth,
            Fill::Level(_) | Fill::LevelAt(_) => Slot::Level,
            Fill::Position(_) => Slot::Position,
            Fill::Mode(_) => Slot::Mode,
            Fill::As(_) => Slot::As,
            Fill::Range(_) => Slot::Range,
            Fill::EndFeel(_) | Fill::CopyEndFeel => Slot::EndFeel,
            Fill::Power(_) => Slot::Power,
            Fill::PainFelt(_) | Fill::PainOfNeither | Fill::Tender(_) => Slot::PainFelt,
            Fill::PainWhen(_) => Slot::PainWhen,
            Fill::PainScore => Slot::PainScore,
            Fill::PainArc => Slot::PainArc,
            Fill::Degrees
            | Fill::Neutral
            | Fill::DegreesShort
            | Fill::DegreesPast
            | Fill::Span
            | Fill::About(_)
            | Fill::Number
            | Fill::More
            | Fill::Less
            | Fill::Landmark(_)
            | Fill::Measure(_) => Slot::Amount,
            Fill::Strength | Fill::Grade(_) => Slot::Strength,
            Fill::Result(_) | Fill::ResultOf(_) => Slot::Result,
            Fill::Sign(_) | Fill::PainSign(_) | Fill::RangeSign { .. } => Slot::Sign,
            Fill::LocalSign(_) => Slot::LocalSign,
            Fill::Observation(_) => Slot::Observation,
            Fill::Copy => Slot::Copy,
            Fill::Ask(_) | Fill::Note | Fill::Control { .. } | Fill::Cue | Fill::Filler { .. } => Slot::None,
        }
    }
}

impl Slot {
    /// Says what was examined, not what was found.
    pub fn is_context(self) -> bool {
        self.is_subject()
            || matches!(
                self,
                Slot::Side | Slot::Joint | Slot::Level | Slot::Position | Slot::Mode | Slot::As
            )
    }

    /// Says what the finding is about: a finding has one.
    pub fn is_subject(self) -> bool {
        matches!(
            self,
            Slot::Movement | Slot::Muscle | Slot::Test | Slot::Structure | Slot::Girth
        )
    }

    /// Says what was found.
    pub fn is_result(self) -> bool {
        !self.is_context() && self != Slot::None
    }

    /// May be said several times in one finding.
    pub fn gathers(self) -> bool {
        matches!(self, Slot::Sign | Slot::LocalSign | Slot::Observation)
    }

    /// The place that it shares with others, of which a finding has one: what it is about; how much, measured or
    /// graded.
    pub fn place(self) -> Slot {
        match self {
            slot if slot.is_subject() => Slot::Movement,
            Slot::Strength => Slot::Amount,
            slot => slot,
        }
    }

    /// Results that can be said where this is what the finding is about, as a set of bits.
    pub fn results(self) -> u32 {
        let pain = [Slot::PainFelt, Slot::PainWhen, Slot::PainScore];
        let own: &[Slot] = match self {
            Slot::Movement => &[
                Slot::Amount,
                Slot::Strength,
                Slot::Range,
                Slot::EndFeel,
                Slot::Power,
                Slot::PainArc,
            ],
            Slot::Muscle => &[Slot::Amount, Slot::Strength, Slot::Power, Slot::Range],
            Slot::Test => &[
                Slot::Amount,
                Slot::Strength,
                Slot::Range,
                Slot::EndFeel,
                Slot::Power,
                Slot::PainArc,
                Slot::Result,
            ],
            Slot::Structure => &[Slot::Amount, Slot::Strength],
            Slot::Girth => &[Slot::Amount],
            _ => return u32::MAX,
        };
        let shared = [Slot::Sign, Slot::LocalSign, Slot::Observation, Slot::Copy];
        own.iter()
            .chain(&pain)
            .chain(&shared)
            .fold(0, |bits, slot| bits | slot.bit())
    }

    /// Its bit in a set of places.
    pub fn bit(self) -> u32 {
        1 << self as u32
    }
}

/// A wording's meaning and how it attaches to its neighbours.
#[derive(Clone, Debug, PartialEq)]
pub struct Fragment {
    pub fill: Fill,
    /// It belongs to what was said before it, never to what follows.
    pub after: bool,
    /// After a sign it is where the sign was, not how far the movement went: "catching at ninety". These are the words
    /// in which that is kept, with `{}` for each number.
    pub place: Option<String>,
    /// It is meant only with its result right after it: "squeeze negative" is a test, "squeeze" is said to clients.
    pub with_result: bool,
}

//! What a stretch of words contributes to a finding.

use crate::finding::{Control, Mode, Side};

/// A wording's meaning. A finding is a set of these, in any order.
#[derive(Clone, Debug, PartialEq)]
pub enum Fill {
    Side(Side),
    /// Index into the grammar's joints.
    Joint(usize),
    /// Every movement that this wording can name, as (joint, movement) indices.
    Movement(Vec<(usize, usize)>),
    Mode(Mode),
    Range(String),
    EndFeel(String),
    Power(String),
    PainFelt(bool),
    PainWhen(String),
    PainScore,
    PainArc,
    Degrees,
    /// Degrees short of neutral.
    DegreesShort,
    /// Degrees beyond neutral.
    DegreesPast,
    Span,
    /// A number whose meaning the mode decides.
    Number,
    Strength,
    Sign(String),
    /// The results of the finding before.
    Copy,
    /// Opens free words.
    Note,
    Control {
        control: Control,
        opens: bool,
    },
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
    Mode,
    Amount,
    Range,
    EndFeel,
    Power,
    PainFelt,
    PainWhen,
    PainScore,
    PainArc,
    Strength,
    Sign,
    Copy,
    /// Outside findings.
    None,
}

impl Fill {
    /// Which place it fills.
    pub fn slot(&self) -> Slot {
        match self {
            Fill::Side(_) => Slot::Side,
            Fill::Joint(_) => Slot::Joint,
            Fill::Movement(_) => Slot::Movement,
            Fill::Mode(_) => Slot::Mode,
            Fill::Range(_) => Slot::Range,
            Fill::EndFeel(_) => Slot::EndFeel,
            Fill::Power(_) => Slot::Power,
            Fill::PainFelt(_) => Slot::PainFelt,
            Fill::PainWhen(_) => Slot::PainWhen,
            Fill::PainScore => Slot::PainScore,
            Fill::PainArc => Slot::PainArc,
            Fill::Degrees | Fill::DegreesShort | Fill::DegreesPast | Fill::Span | Fill::Number => {
                Slot::Amount
            }
            Fill::Strength => Slot::Strength,
            Fill::Sign(_) => Slot::Sign,
            Fill::Copy => Slot::Copy,
            Fill::Note | Fill::Control { .. } | Fill::Filler { .. } => Slot::None,
        }
    }
}

impl Slot {
    /// Says what was examined, not what was found.
    pub fn is_context(self) -> bool {
        matches!(self, Slot::Side | Slot::Joint | Slot::Movement | Slot::Mode)
    }

    /// Says what was found.
    pub fn is_result(self) -> bool {
        !self.is_context() && self != Slot::None
    }
}

/// A wording's meaning and how it attaches to its neighbours.
#[derive(Clone, Debug, PartialEq)]
pub struct Fragment {
    pub fill: Fill,
    /// It belongs to what was said before it, never to what follows.
    pub after: bool,
}

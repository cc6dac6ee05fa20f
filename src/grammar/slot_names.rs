//! What the places of a finding are called, in the grammar's files and in messages.

use super::fragment::Slot;

impl Slot {
    /// The place's name, as the grammar files and a therapist's own words write it.
    pub fn name(self) -> &'static str {
        match self {
            Slot::Side => "side",
            Slot::Joint => "joint",
            Slot::Movement => "movement",
            Slot::Muscle => "muscle",
            Slot::Test => "test",
            Slot::Structure => "structure",
            Slot::Girth => "girth",
            Slot::Level => "level",
            Slot::Position => "position",
            Slot::Mode => "mode",
            Slot::As => "as side",
            Slot::Amount => "amount",
            Slot::Range => "range",
            Slot::EndFeel => "end feel",
            Slot::Power => "power",
            Slot::PainFelt => "pain",
            Slot::PainWhen => "pain when",
            Slot::PainScore => "pain score",
            Slot::PainArc => "pain arc",
            Slot::Strength => "strength",
            Slot::Result => "result",
            Slot::Sign => "sign",
            Slot::LocalSign => "local sign",
            Slot::Observation => "observation",
            Slot::Copy => "copy",
            Slot::None => "control",
        }
    }
}

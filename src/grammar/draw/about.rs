//! What phrases are about, and how often.

use super::chance::Chance;
use crate::grammar::fragment::Slot;

/// What a phrase is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum About {
    Movement,
    /// Two findings in one breath.
    Breath,
    Muscle,
    Test,
    Palpation,
    Girth,
    Sign,
    Control,
    /// Two or three utterances, the later ones leaning on the first.
    Chain,
}

/// How often each comes, in percent.
pub(super) const ABOUT: [(usize, About); 9] = [
    (39, About::Movement),
    (4, About::Breath),
    (11, About::Muscle),
    (14, About::Test),
    (6, About::Palpation),
    (3, About::Girth),
    (4, About::Sign),
    (7, About::Control),
    (12, About::Chain),
];

impl About {
    pub(super) const ALL: [About; 9] = [
        About::Movement,
        About::Breath,
        About::Muscle,
        About::Test,
        About::Palpation,
        About::Girth,
        About::Sign,
        About::Control,
        About::Chain,
    ];

    /// Its name in the output.
    pub(super) fn name(self) -> &'static str {
        match self {
            About::Movement => "movement",
            About::Breath => "breath",
            About::Muscle => "muscle",
            About::Test => "test",
            About::Palpation => "palpation",
            About::Girth => "girth",
            About::Sign => "sign",
            About::Control => "control",
            About::Chain => "chain",
        }
    }

    /// The place whose fragments are dealt in turn.
    pub(super) fn deck(self) -> Slot {
        match self {
            About::Movement | About::Breath | About::Chain => Slot::Movement,
            About::Muscle => Slot::Muscle,
            About::Test => Slot::Test,
            About::Palpation => Slot::Structure,
            About::Girth => Slot::Girth,
            About::Sign => Slot::LocalSign,
            About::Control => Slot::None,
        }
    }
}

/// How many utterances.
pub(super) fn turns(about: About, chance: &mut Chance) -> usize {
    match about {
        About::Chain => 2 + chance.below(2),
        _ => 1,
    }
}

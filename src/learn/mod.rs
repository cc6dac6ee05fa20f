//! What the program learns from the therapist's own corrections.
//!
//! ```text
//! misheard, said again or corrected, confirmed → lesson → alias (after it has helped) → heard better next time
//! proposed with so much belief, confirmed or not → trust: how much more, or less, is taken at once
//! ```
//! It is kept as text beside the record, to be read, and taken out line by line. An alias never stands in for words that
//! the grammar knows, nor for a side, a number or a control word, and what it leads to is still said back and confirmed.

mod alias;
mod by_hand;
mod learnt;
mod lessons;
mod trust;

pub use alias::{Alias, misheard};
pub use by_hand::{ByHand, Misheard};
pub use learnt::{Learnt, Lesson};
pub use lessons::Lessons;
pub use trust::Trust;

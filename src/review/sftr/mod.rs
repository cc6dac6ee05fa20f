//! Neutral-zero (SFTR) notation of what was measured, both ways.

mod read;
mod triple;
mod write;

pub use read::read;
pub use triple::{NotATriple, Triple};
pub use write::{Written, written};

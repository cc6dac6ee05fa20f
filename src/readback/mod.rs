//! Reading → confirmed finding: each finding is said back, and only a spoken confirmation lets it into the record.

mod compose;
pub mod loudspeaker;
mod settle;
mod synthesis;
mod voice;

pub use compose::{clause, question, sentence};
pub use loudspeaker::Loudspeaker;
pub use settle::{Confirmed, Proposal, Settle, Step};
pub use voice::{Said, Voice, VoiceError};

//! Reading → confirmed finding: each finding is said back, and only a spoken confirmation lets it into the record.

mod answers;
mod compose;
pub mod loudspeaker;
mod mouth;
mod said_back;
mod settle;
mod synthesis;
mod tone;
mod voice;

pub use answers::{Answers, Sound};
pub use compose::{clause, question, sentence, written};
pub use loudspeaker::Loudspeaker;
pub use mouth::{Mouth, Said, Sounding};
pub use said_back::SaidBack;
pub use settle::{Confirmed, Proposal, Settle, Step, TakenBack};
pub use tone::{Tone, count};
pub use voice::{Voice, VoiceError};

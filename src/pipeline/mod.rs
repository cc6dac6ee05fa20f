//! Joins the stages: sound → words → reading → proposal → confirmed finding → record.

mod follow;
mod listener;
mod own_voice;
mod remains;
mod second;
mod session;
mod source;
mod visit;

pub use follow::follow;
pub use listener::{Listener, Scribe};
pub use second::Second;
pub use session::{Notice, Session, Shown};
pub use source::{Paced, Source};
pub use visit::Visit;

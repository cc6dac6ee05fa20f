//! Joins the stages: sound → words → reading → proposal → confirmed finding → record.

mod follow;
mod key;
mod listener;
mod own_voice;
mod remains;
mod second;
mod session;
mod source;
mod visit;
mod way_in;

pub use follow::follow;
pub use key::{Key, Turn};
pub use listener::{Listener, Scribe};
pub use second::Second;
pub use session::{Notice, Session, Shown};
pub use source::{Paced, Source};
pub use visit::Visit;
pub use way_in::WayIn;

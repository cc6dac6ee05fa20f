//! The one test binary: a module per stage, in the order of the pipeline.

mod engine;
mod hear;
mod model;
mod pipeline;
mod record;
mod samples;
mod sound;
mod transcribe;
mod word_errors;

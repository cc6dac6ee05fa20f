//! The one test binary: a module per stage, in the order of the pipeline.

mod cautions;
mod compare;
mod engine;
mod evaluate;
mod grammar_changed;
mod grammar_checks;
mod grammar_commands;
mod grammar_draw;
mod grammar_errors;
mod grammar_weights;
mod hear;
mod interpret;
mod model;
mod page;
mod pipeline;
mod record;
mod report;
mod samples;
mod settings;
mod sound;
mod tidy;
mod transcribe;
mod word_errors;

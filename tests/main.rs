//! The one test binary: a module per stage, in the order of the pipeline.
mod samples;

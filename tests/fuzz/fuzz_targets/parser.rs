//! A visit of utterances that are anything, one a line, read with everything that the program knows.
#![no_main]

use std::sync::{Arc, LazyLock};

use couchside::grammar::Grammar;
use couchside::interpret::Interpreter;
use libfuzzer_sys::fuzz_target;

static GRAMMAR: LazyLock<Arc<Grammar>> =
    LazyLock::new(|| Arc::new(Grammar::carried().expect("the carried grammar is right")));

fuzz_target!(|text: &str| {
    let mut interpreter = Interpreter::new(GRAMMAR.clone());
    for line in text.lines().take(8) {
        interpreter.read(line);
    }
});

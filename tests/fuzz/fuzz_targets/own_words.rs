//! A therapist's file of own words is anything.
#![no_main]

use std::sync::LazyLock;

use couchside_fuzz::{load, small, with_own_words};
use libfuzzer_sys::fuzz_target;

static FILES: LazyLock<Vec<(String, String)>> = LazyLock::new(small);

fuzz_target!(|words: &str| load(&with_own_words(&FILES, words)));

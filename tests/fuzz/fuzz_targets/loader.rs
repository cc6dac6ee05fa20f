//! One grammar file is anything: the first byte says which, the others are its text.
#![no_main]

use std::sync::LazyLock;

use couchside::grammar::Source;
use couchside_fuzz::{load, small};
use libfuzzer_sys::fuzz_target;

static FILES: LazyLock<Vec<(String, String)>> = LazyLock::new(small);

fuzz_target!(|data: &[u8]| {
    let Some((&which, text)) = data.split_first() else {
        return;
    };
    let mut files = FILES.clone();
    let which = usize::from(which) % files.len();
    files[which].1 = String::from_utf8_lossy(text).into_owned();
    load(&Source::texts(files));
});

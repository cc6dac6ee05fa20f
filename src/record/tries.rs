//! Wrong passphrases: each makes the next answer come later, so that nobody tries many.

use std::path::{Path, PathBuf};
use std::time::Duration;

/// After the first; it doubles with each.
const FIRST: Duration = Duration::from_millis(250);
const LONGEST: Duration = Duration::from_secs(8);

fn place(home: &Path) -> PathBuf {
    home.join(".wrong-passphrases")
}

/// Waits before a wrong passphrase is answered. Where it can't be counted, it is as for the first.
pub(super) fn wrong(home: &Path) {
    let before: u32 = std::fs::read_to_string(place(home))
        .ok()
        .and_then(|count| count.trim().parse().ok())
        .unwrap_or(0);
    std::thread::sleep(FIRST.saturating_mul(1 << before.min(8)).min(LONGEST));
    let _ = std::fs::write(place(home), format!("{}\n", before.saturating_add(1)));
}

/// The right one: nothing is counted any more.
pub(super) fn right(home: &Path) {
    let _ = std::fs::remove_file(place(home));
}

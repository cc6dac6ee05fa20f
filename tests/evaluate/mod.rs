//! `couchside evaluate`: reading cases, judging them, counting, and the command itself.

mod alignment;
mod broken_cases;
mod command;
mod intervals;
mod verdicts;

use std::path::Path;

/// Makes a case of a text; the recording is one of the samples.
fn case(folder: &Path, name: &str, text: &str, speech_of: &str) {
    let folder = folder.join(name);
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join("case.toml"), text).expect("written");
    let speech = sample(speech_of).join("speech.wav");
    std::fs::copy(speech, folder.join("speech.wav")).expect("copied");
}

fn sample(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("audio-samples")
        .join(name)
}

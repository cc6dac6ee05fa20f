//! Text → speech samples, by a speech program that is installed beside this one.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

use super::VoiceError;
use crate::hear::SoundError;
use crate::hear::wav::Recording;

/// The speech program that is used unless the settings name another.
pub(crate) const DEFAULT_PROGRAM: &str = "espeak-ng";
/// Text from standard input, in UTF-8, sound to standard output, British English. Another program must take the
/// same.
const ARGUMENTS: [&str; 6] = ["--stdin", "--stdout", "-b", "1", "-v", "en-gb"];
/// How long the program may take for one text. It takes tens of milliseconds; what the microphone hears meanwhile is kept
/// for four seconds.
const PATIENCE: Duration = Duration::from_secs(3);
/// The most that is taken from the program: about 25 minutes of speech.
const MOST_BYTES: u64 = 64 << 20;

/// Speech at the rate at which the program made it.
pub(crate) struct Speech {
    pub rate: u32,
    pub samples: Vec<f32>,
}

/// The program's place, if it is installed; searched for in the folders of PATH unless the name says a folder.
pub(crate) fn find_program(name: &str) -> Option<PathBuf> {
    if name.contains(std::path::MAIN_SEPARATOR) || name.contains('/') {
        return Some(PathBuf::from(name)).filter(|path| path.is_file());
    }
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(&file))
        .find(|path| path.is_file())
}

/// The text without anything that a speech program could take for more than words: control characters end or garble
/// it, brackets and angle brackets open phoneme codes and markup.
pub(crate) fn words_only(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() || matches!(c, '[' | ']' | '<' | '>') {
                ' '
            } else {
                c
            }
        })
        .collect::<String>()
        .trim()
        .to_owned()
}

/// Has the program speak the text.
pub(crate) fn speak(program: &Path, text: &str) -> Result<Speech, VoiceError> {
    let text = words_only(text);
    if !text.chars().any(char::is_alphanumeric) {
        return Ok(Speech {
            rate: crate::hear::SAMPLE_RATE,
            samples: Vec::new(),
        });
    }
    let name = || program.display().to_string();
    let mut child = Command::new(program)
        .args(ARGUMENTS)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|source| VoiceError::NotStarted {
            program: name(),
            source,
        })?;
    let bytes = answer(&mut child, text, PATIENCE).map_err(|fault| fault(name()))?;
    understand(bytes).map_err(|why| VoiceError::NotSpeech {
        program: name(),
        why: why.to_string(),
    })
}

/// The program's whole answer to the text, if it comes and the program ends well of itself, within `patience`.
/// Otherwise the program has been ended, and what the error is of its name is given.
fn answer(child: &mut Child, text: String, patience: Duration) -> Result<Vec<u8>, fn(String) -> VoiceError> {
    let until = Instant::now() + patience;
    let output = converse(child, text, patience);
    let ended = end(child, until);
    match output {
        None => Err(|program| VoiceError::TooSlow { program }),
        Some(_) if !ended => Err(|program| VoiceError::Stopped { program }),
        Some(bytes) => Ok(bytes),
    }
}

/// Writes the text and reads all of the answer, each on a thread of its own so that neither pipe can block the
/// other. `None` when the answer takes too long.
fn converse(child: &mut Child, text: String, patience: Duration) -> Option<Vec<u8>> {
    let (mut stdin, stdout) = (child.stdin.take()?, child.stdout.take()?);
    // A program that ends without reading is judged by what it gives, so a failed write is no error of its own.
    thread::spawn(move || stdin.write_all(text.as_bytes()));
    let (sender, receiver) = mpsc::channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        let read = stdout.take(MOST_BYTES).read_to_end(&mut bytes);
        sender.send(read.map(|_| bytes))
    });
    receiver.recv_timeout(patience).ok()?.ok()
}

/// Waits for the program's end, and makes an end of it at the given time. Whether it ended well of itself.
fn end(child: &mut Child, until: Instant) -> bool {
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return status.success(),
            Ok(None) if Instant::now() < until => thread::sleep(Duration::from_millis(2)),
            _ => {
                let _ = child.kill();
                let _ = child.wait();
                return false;
            }
        }
    }
}

/// Reads the WAV stream. Its heading was written before its length was known, so the lengths in it are set right
/// first.
fn understand(mut bytes: Vec<u8>) -> Result<Speech, SoundError> {
    set_length_right(&mut bytes);
    let recording = Recording::open(&bytes[..], Path::new("its output"))?;
    let rate = recording.rate();
    let mut samples = Vec::new();
    recording.each_batch(|batch| {
        samples.extend_from_slice(batch);
        Ok(())
    })?;
    Ok(Speech { rate, samples })
}

/// Finds the sound's chunk (RIFF: four letters, a length in 32 bits, that many bytes, padded to an even number) and,
/// if it promises more than there is, writes how much there is, in whole frames.
fn set_length_right(bytes: &mut [u8]) {
    let word = |bytes: &[u8], at: usize| {
        bytes
            .get(at..at + 4)
            .and_then(|word| word.try_into().ok())
            .map(u32::from_le_bytes)
    };
    let (mut at, mut frame) = (12, 1);
    while let Some(length) = word(bytes, at + 4) {
        let body = at + 8;
        match &bytes[at..at + 4] {
            b"fmt " => frame = word(bytes, body + 12).map_or(1, |align| (align & 0xffff).max(1)),
            b"data" => {
                let there = u32::try_from(bytes.len() - body).unwrap_or(u32::MAX);
                if length > there {
                    bytes[at + 4..body].copy_from_slice(&(there - there % frame).to_le_bytes());
                }
                return;
            }
            _ => {}
        }
        at = body
            .saturating_add(length as usize)
            .saturating_add(length as usize % 2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A program that never answers, or that answers and never ends, is ended when patience runs out.
    #[test]
    #[cfg(unix)]
    fn a_program_that_hangs_is_ended() {
        for lines in ["sleep 60", "exec >&-; sleep 60"] {
            let mut command = Command::new("sh");
            command
                .args(["-c", lines])
                .stdin(Stdio::piped())
                .stdout(Stdio::piped());
            let mut child = command.spawn().unwrap();
            let start = Instant::now();
            let fault = answer(&mut child, "right hip".into(), Duration::from_millis(200)).unwrap_err();
            let message = fault("speaker".into()).to_string();
            assert!(
                message.contains("speaker took too long") || message.contains("speaker stopped"),
                "{message}"
            );
            assert!(start.elapsed() < Duration::from_secs(10));
            assert!(child.try_wait().unwrap().is_some(), "it is still running");
        }
    }
}

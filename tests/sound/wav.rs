//! Recorded sound: what is read, and what is refused in words.

use std::path::Path;

use couchside::hear::{SAMPLE_RATE, read_wav};
use hound::{SampleFormat, WavSpec};
use proptest::prelude::*;
use tempfile::TempDir;

use super::made::{rms, snr_db, spec, tone, write_wav};

fn float_spec(rate: u32) -> WavSpec {
    WavSpec {
        sample_format: SampleFormat::Float,
        ..spec(rate, 1, 32)
    }
}

/// A good small recording's bytes: 0.1 s of a tone, mono, 16 bits, 16 kHz. Its heading is 44 bytes long.
fn good() -> Vec<u8> {
    let folder = TempDir::new().unwrap();
    let path = write_wav(
        folder.path(),
        "good.wav",
        spec(16_000, 1, 16),
        &tone(16_000, 0.1, 440.0, 0.5),
    );
    std::fs::read(path).unwrap()
}

/// Reading these bytes fails with a message that names the file and says this.
fn check_refused(bytes: &[u8], says: &[&str]) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("visit.wav");
    std::fs::write(&path, bytes).unwrap();
    check_message(&path, says);
}

fn check_message(path: &Path, says: &[&str]) {
    let message = read_wav(path)
        .map(|samples| samples.len())
        .unwrap_err()
        .to_string();
    println!("{message}");
    for part in says.iter().chain(&[path.file_name().unwrap().to_str().unwrap()]) {
        assert!(message.contains(part), "\"{message}\" does not say \"{part}\"");
    }
}

#[test]
fn every_sort_is_read_the_same() {
    let folder = TempDir::new().unwrap();
    for rate in [8_000, 11_025, 16_000, 22_050, 32_000, 44_100, 48_000, 96_000] {
        for (bits, least_snr) in [(8, 35.0), (16, 60.0), (24, 60.0), (32, 60.0), (0, 60.0)] {
            for channels in [1, 2] {
                let format = if bits == 0 {
                    float_spec(rate)
                } else {
                    spec(rate, 1, bits)
                };
                let format = WavSpec { channels, ..format };
                let path = write_wav(folder.path(), "tone.wav", format, &tone(rate, 0.2, 440.0, 0.5));
                let heard = read_wav(&path).unwrap();
                let truth = tone(SAMPLE_RATE, 0.2, 440.0, 0.5);
                assert!(
                    heard.len().abs_diff(truth.len()) <= 2,
                    "{format:?}: {} samples",
                    heard.len()
                );
                let snr = snr_db(&truth[320..2880], &heard[320..2880]);
                assert!(snr > least_snr, "{format:?}: {snr:.1} dB");
            }
        }
    }
}

#[test]
fn stereo_is_the_mean_of_both() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("stereo.wav");
    let mut writer = hound::WavWriter::create(&path, spec(16_000, 2, 16)).unwrap();
    for _ in 0..100 {
        writer.write_sample(16_384_i16).unwrap();
        writer.write_sample(-8_192_i16).unwrap();
    }
    writer.finalize().unwrap();
    assert_eq!(read_wav(&path).unwrap(), vec![0.125; 100]);
}

#[test]
fn a_float_beyond_full_scale_is_clipped() {
    let folder = TempDir::new().unwrap();
    let path = write_wav(folder.path(), "loud.wav", float_spec(16_000), &[0.5, 3e38, -3e38]);
    assert_eq!(read_wav(&path).unwrap(), [0.5, 1.0, -1.0]);
}

#[test]
fn a_missing_file() {
    check_message(
        Path::new("/nowhere/visit.wav"),
        &["there is no file", "check its name"],
    );
}

#[test]
fn a_folder() {
    let folder = TempDir::new().unwrap();
    check_message(folder.path(), &["could not read"]);
}

#[test]
fn an_empty_file() {
    check_refused(b"", &["is empty", "record it again"]);
}

#[test]
fn not_a_wav_file() {
    check_refused(
        b"Right hip, 110 degrees\n",
        &["is not a WAV recording", "save it as WAV"],
    );
    check_refused(b"RIFF\0\0\0\0AVI LIST", &["is not a WAV recording"]);
}

#[test]
fn a_heading_that_stops() {
    check_refused(&good()[..30], &["damaged heading", "ends before any sound"]);
}

#[test]
fn a_recording_that_breaks_off() {
    let bytes = good();
    check_refused(
        &bytes[..44 + 1600],
        &[
            "breaks off",
            "promises 0.1 s",
            "after 0.1 s",
            "none of it was used",
        ],
    );
    check_refused(&bytes[..bytes.len() - 1], &["breaks off"]);
}

#[test]
fn a_heading_that_promises_hours() {
    let mut bytes = good();
    bytes[40..44].copy_from_slice(&0xffff_fffe_u32.to_le_bytes());
    check_refused(&bytes, &["breaks off", "promises 134217.7 s", "ends after 0.1 s"]);
}

#[test]
fn no_sound_in_it() {
    let mut bytes = good();
    bytes.truncate(44);
    bytes[40..44].fill(0);
    check_refused(&bytes, &["holds no sound at all"]);
}

#[test]
fn too_many_channels() {
    let folder = TempDir::new().unwrap();
    let path = write_wav(folder.path(), "room.wav", spec(16_000, 6, 16), &[0.0; 10]);
    check_message(&path, &["6 channels", "save it as mono"]);
}

#[test]
fn a_rate_out_of_range() {
    let folder = TempDir::new().unwrap();
    for rate in [4_000, 7_999, 96_001, 192_000] {
        let path = write_wav(folder.path(), "rate.wav", spec(rate, 1, 16), &[0.0; 10]);
        check_message(&path, &[&format!("{rate} samples per second"), "8,000 to 96,000"]);
    }
}

#[test]
fn a_float_that_is_no_number() {
    let folder = TempDir::new().unwrap();
    for bad in [f32::NAN, f32::INFINITY] {
        let mut samples = vec![0.1; 8000];
        samples[4000] = bad;
        let path = write_wav(folder.path(), "bad.wav", float_spec(16_000), &samples);
        check_message(&path, &["damaged at 0.25 s", "not a number"]);
    }
}

#[test]
fn a_compressed_recording() {
    let mut bytes = good();
    // Format tag 2, ADPCM.
    bytes[20..22].copy_from_slice(&2_u16.to_le_bytes());
    check_refused(&bytes, &["encoding that cannot be read", "save it as plain WAV"]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]
    /// Whatever is done to a recording's bytes, reading ends, in sound or in words, and all of the sound is finite.
    #[test]
    fn damage_never_panics(
        changes in prop::collection::vec((0_usize..64, any::<u8>()), 0..6),
        far in prop::collection::vec((44_usize..400, any::<u8>()), 0..3),
        length in prop_oneof![3 => Just(400_usize), 1 => 0_usize..400],
        float in any::<bool>(),
    ) {
        let folder = TempDir::new().unwrap();
        let format = if float { float_spec(16_000) } else { spec(44_100, 2, 16) };
        let path = write_wav(folder.path(), "good.wav", format, &tone(16_000, 0.01, 440.0, 0.5));
        let mut bytes = std::fs::read(&path).unwrap();
        bytes.truncate(length);
        for (at, value) in changes.into_iter().chain(far) {
            if let Some(byte) = bytes.get_mut(at) {
                *byte = value;
            }
        }
        std::fs::write(&path, &bytes).unwrap();
        match read_wav(&path) {
            Ok(samples) => prop_assert!(samples.iter().all(|s| s.is_finite()) && rms(&samples) < 2.0),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}

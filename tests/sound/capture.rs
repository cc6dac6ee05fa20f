//! The microphone, without one: what the sound card's callbacks call, and what the reader gets of it.

use couchside::hear::feed::{Feed, feed};
use couchside::hear::{Microphone, SAMPLE_RATE};
use cpal::{Data, Error, ErrorKind, FromSample, I24, SizedSample, U24};

use super::made::{rms, snr_db, tone};

/// Hands samples over as the sound library does.
pub(crate) fn deliver<T: SizedSample>(feed: &mut Feed, samples: &mut [T]) {
    // Safety: the pointer, the length and the format are those of the slice, which outlives the call.
    feed.take(&unsafe { Data::from_parts(samples.as_mut_ptr().cast(), samples.len(), T::FORMAT) });
}

/// A tone in this format on two channels, the second silent, is heard at half its level.
fn check_format<T: SizedSample + FromSample<f32>>(least_snr: f64) {
    let (mut feed, _, mut intake) = feed("desk", 2, SAMPLE_RATE).unwrap();
    let sound = tone(SAMPLE_RATE, 0.5, 440.0, 0.5);
    let mut stereo: Vec<T> = sound
        .iter()
        .flat_map(|&s| [T::from_sample(s), T::EQUILIBRIUM])
        .collect();
    deliver(&mut feed, &mut stereo);
    let mut heard = Vec::new();
    assert_eq!(intake.read(&mut heard).unwrap(), sound.len());
    let half: Vec<f32> = sound.iter().map(|s| s / 2.0).collect();
    let snr = snr_db(&half, &heard);
    assert!(snr > least_snr, "{:?}: {snr:.1} dB", T::FORMAT);
    assert_eq!(intake.dropped(), 0);
}

#[test]
fn every_format_is_understood() {
    check_format::<i8>(30.0);
    check_format::<u8>(30.0);
    check_format::<i16>(80.0);
    check_format::<u16>(80.0);
    check_format::<I24>(100.0);
    check_format::<U24>(100.0);
    check_format::<i32>(100.0);
    check_format::<u32>(100.0);
    check_format::<i64>(100.0);
    check_format::<u64>(100.0);
    check_format::<f32>(100.0);
    check_format::<f64>(100.0);
}

#[test]
fn sound_goes_through_at_the_right_rate() {
    let (mut feed, _, mut intake) = feed("desk", 1, 48_000).unwrap();
    let mut heard = Vec::new();
    for period in tone(48_000, 2.0, 440.0, 0.5).chunks_mut(480) {
        deliver(&mut feed, period);
        intake.read(&mut heard).unwrap();
    }
    // What is not out yet is the block being filled and the filter's delay: 30 ms at most.
    assert!(
        (31_520..=32_000).contains(&heard.len()),
        "{} samples",
        heard.len()
    );
    assert!(snr_db(&tone(SAMPLE_RATE, 1.9, 440.0, 0.5)[320..], &heard[320..30_400]) > 60.0);
}

#[test]
fn what_nobody_reads_is_counted() {
    let (mut feed, faults, mut intake) = feed("desk", 1, SAMPLE_RATE).unwrap();
    deliver(&mut feed, &mut vec![0.25_f32; 100_000]);
    let mut heard = Vec::new();
    let kept = intake.read(&mut heard).unwrap();
    assert!(
        kept >= 2 * SAMPLE_RATE as usize,
        "the ring holds only {kept} samples"
    );
    assert_eq!(intake.dropped(), (100_000 - kept) as u64);
    faults.take(&Error::new(ErrorKind::Xrun));
    assert_eq!(intake.dropped(), (100_000 - kept) as u64 + 1);
    assert_eq!(intake.read(&mut heard).unwrap(), 0);
}

#[test]
fn a_drivers_nonsense_is_harmless() {
    let (mut feed, _, mut intake) = feed("desk", 1, 48_000).unwrap();
    let mut sound = tone(48_000, 0.5, 440.0, 0.5);
    sound[9_000] = f32::NAN;
    sound[9_001] = f32::INFINITY;
    sound[9_002] = -3e38;
    deliver(&mut feed, &mut sound);
    let mut heard = Vec::new();
    intake.read(&mut heard).unwrap();
    assert!(heard.iter().all(|s| s.is_finite()));
    assert!((rms(&heard[320..]) - 0.354).abs() < 0.01);
}

/// After this error of the sound card what was heard before is read first, to the last sample, and then this is said.
fn check_fault(kind: ErrorKind, says: &str) {
    let (mut feed, faults, mut intake) = feed("desk", 1, 48_000).unwrap();
    deliver(&mut feed, &mut tone(48_000, 0.5, 440.0, 0.5));
    faults.take(&Error::new(kind));
    // What follows from the first fault does not hide it.
    faults.take(&Error::new(ErrorKind::BackendError));
    let mut heard = Vec::new();
    let message = loop {
        match intake.read(&mut heard) {
            Ok(samples) => assert!(samples > 0),
            Err(error) => break error.to_string(),
        }
    };
    assert_eq!(message, says);
    assert_eq!(heard.len(), 8_000);
    assert_eq!(
        intake.read(&mut heard).unwrap_err().to_string(),
        says,
        "it stays said"
    );
}

#[test]
fn an_unplugged_microphone_is_said_in_words() {
    let says = "the microphone \"desk\" was unplugged or switched off; plug it in again, then go on";
    check_fault(ErrorKind::DeviceNotAvailable, says);
    check_fault(ErrorKind::StreamInvalidated, says);
    check_fault(ErrorKind::HostUnavailable, says);
}

#[test]
fn a_forbidden_or_failing_microphone_is_said_in_words() {
    check_fault(
        ErrorKind::PermissionDenied,
        "this program may not use the microphone \"desk\"; allow it in the system's privacy or sound settings and \
         try again",
    );
    check_fault(
        ErrorKind::BackendError,
        "the microphone \"desk\" stopped working; unplug it, plug it in again, then go on",
    );
}

#[test]
fn news_that_change_nothing_are_no_fault() {
    let (_feed, faults, mut intake) = feed("desk", 1, SAMPLE_RATE).unwrap();
    faults.take(&Error::new(ErrorKind::RealtimeDenied));
    faults.take(&Error::new(ErrorKind::DeviceChanged));
    assert_eq!(intake.read(&mut Vec::new()).unwrap(), 0);
}

#[test]
fn a_name_that_no_microphone_has() {
    let message = Microphone::open(Some("Nobody's microphone"))
        .err()
        .unwrap()
        .to_string();
    assert!(
        message.starts_with("there is no microphone called \"Nobody's microphone\"; "),
        "{message}"
    );
}

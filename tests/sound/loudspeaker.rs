//! The loudspeaker, without one: what the sound card's callbacks call, and what the waiting side gets of it.

use std::time::{Duration, Instant};

use couchside::readback::loudspeaker::{Fault, Player, player};
use cpal::{Data, Error, ErrorKind, FromSample, I24, SizedSample, U24};

const BUFFERED: Duration = Duration::from_millis(20);

/// Has a buffer filled as the sound library does.
fn ask<T: SizedSample>(player: &mut Player, samples: usize) -> Vec<T> {
    let mut buffer = vec![T::EQUILIBRIUM; samples];
    // Safety: the pointer, the length and the format are those of the buffer, which outlives the call.
    player.fill(
        &mut unsafe { Data::from_parts(buffer.as_mut_ptr().cast(), samples, T::FORMAT) },
        BUFFERED,
    );
    buffer
}

fn late() -> Instant {
    Instant::now() + Duration::from_secs(10)
}

fn check_format<T: SizedSample + FromSample<f32> + std::fmt::Debug>() {
    let (mut player, mut line) = player(10, 2);
    let [half, minus, full, silence] = [0.5, -0.5, 1.0, 0.0].map(T::from_sample);
    assert_eq!(ask::<T>(&mut player, 2), [silence, silence]);
    assert_eq!(line.is_over(), Ok(true), "nothing was given");
    line.begin(&[0.5, -0.5, 2.0], late());
    assert_eq!(ask::<T>(&mut player, 4), [half, half, minus, minus]);
    assert_eq!(line.is_over(), Ok(false));
    assert_eq!(ask::<T>(&mut player, 4), [full, full, silence, silence]);
    // Handed over, but not heard yet.
    let start = Instant::now();
    while line.is_over() == Ok(false) {
        std::thread::sleep(Duration::from_millis(1));
    }
    assert_eq!(line.is_over(), Ok(true));
    assert!(start.elapsed() >= BUFFERED);
}

#[test]
fn what_is_hushed_is_not_sounded_to_its_end_and_what_comes_then_is() {
    let (mut player, mut line) = player(10, 1);
    line.begin(&[0.5, 0.5, 0.5], late());
    assert_eq!(ask::<f32>(&mut player, 1), [0.5]);
    line.hush();
    assert_eq!(line.is_over(), Ok(false), "the card has not asked since");
    assert_eq!(ask::<f32>(&mut player, 2), [0.0, 0.0]);
    while line.is_over() == Ok(false) {
        std::thread::sleep(Duration::from_millis(1));
    }
    line.begin(&[0.25], late());
    assert_eq!(ask::<f32>(&mut player, 2), [0.25, 0.0]);
}

#[test]
fn a_loudspeaker_that_stands_still_has_failed() {
    let (_player, mut line) = player(10, 1);
    line.begin(&[0.5], Instant::now());
    std::thread::sleep(Duration::from_millis(5));
    assert_eq!(line.is_over(), Err(Fault::Failed));
}

#[test]
fn every_format_is_filled() {
    check_format::<i8>();
    check_format::<u8>();
    check_format::<i16>();
    check_format::<u16>();
    check_format::<I24>();
    check_format::<U24>();
    check_format::<i32>();
    check_format::<u32>();
    check_format::<i64>();
    check_format::<u64>();
    check_format::<f32>();
    check_format::<f64>();
}

#[test]
fn an_unplugged_loudspeaker_is_not_waited_for() {
    for (kind, fault) in [
        (ErrorKind::DeviceNotAvailable, Fault::Unplugged),
        (ErrorKind::StreamInvalidated, Fault::Unplugged),
        (ErrorKind::BackendError, Fault::Failed),
    ] {
        let (_player, mut line) = player(10, 1);
        line.begin(&[0.5], late());
        line.shared().fault(&Error::new(ErrorKind::Xrun));
        assert_eq!(line.is_over(), Ok(false));
        line.shared().fault(&Error::new(kind));
        assert_eq!(line.is_over(), Err(fault));
    }
}

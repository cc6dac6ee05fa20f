//! The resampler, against scipy's and against what the sines must be.

use couchside::hear::{Resampler, SAMPLE_RATE, resample};
use proptest::prelude::*;

use super::made::{mix, rms, snr_db, tone};

/// Samples at each end that both filters smear: 20 ms.
const EDGE: usize = 320;

fn check(rate: u32, reference: &[u8]) {
    let (reference, rest) = reference.as_chunks::<4>();
    assert!(rest.is_empty());
    let reference: Vec<f32> = reference.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
    let top = f64::from(rate.min(SAMPLE_RATE)) / 2.0;
    let ours = resample(&mix(rate, 0.25, top), rate, SAMPLE_RATE).unwrap();
    assert!(
        ours.len().abs_diff(reference.len()) <= 2,
        "{} samples, scipy {}",
        ours.len(),
        reference.len()
    );
    let inside = EDGE..reference.len() - EDGE;
    let scipy = snr_db(&reference[inside.clone()], &ours[inside.clone()]);
    // Resampled sines are sines: the same formula at the new rate.
    let formula = snr_db(&mix(SAMPLE_RATE, 0.25, top)[inside.clone()], &ours[inside]);
    println!("{rate} Hz: {scipy:.1} dB against scipy, {formula:.1} dB against the formula");
    assert!(
        scipy > 60.0 && formula > 60.0,
        "{rate} Hz: {scipy:.1} dB, {formula:.1} dB"
    );
}

#[test]
fn agrees_with_scipy() {
    check(8_000, include_bytes!("reference/from_8000.f32"));
    check(22_050, include_bytes!("reference/from_22050.f32"));
    check(44_100, include_bytes!("reference/from_44100.f32"));
    check(48_000, include_bytes!("reference/from_48000.f32"));
    check(96_000, include_bytes!("reference/from_96000.f32"));
}

#[test]
fn what_cannot_be_represented_is_taken_out() {
    let out = resample(&tone(48_000, 0.5, 10_000.0, 0.5), 48_000, SAMPLE_RATE).unwrap();
    let left = rms(&out[EDGE..out.len() - EDGE]);
    assert!(left < 0.0001, "a 10 kHz tone leaves {left}");
}

#[test]
fn times_stay_true() {
    for rate in [8_000, 11_025, 22_050, 32_000, 44_100, 48_000, 88_200, 96_000] {
        let mut click = vec![0.0; rate as usize];
        let at = 0.4321;
        click[(at * f64::from(rate)) as usize] = 1.0;
        let out = resample(&click, rate, SAMPLE_RATE).unwrap();
        let peak = (0..out.len())
            .max_by(|&a, &b| out[a].abs().total_cmp(&out[b].abs()))
            .unwrap();
        let off_ms = (peak as f64 / f64::from(SAMPLE_RATE) - at) * 1000.0;
        assert!(off_ms.abs() < 0.2, "at {rate} Hz the click is {off_ms:.2} ms off");
        assert_eq!(out.len(), SAMPLE_RATE as usize);
    }
}

#[test]
fn a_rate_of_zero_is_an_error() {
    let message = Resampler::new(0, SAMPLE_RATE).err().unwrap().to_string();
    assert!(
        message.starts_with("the sound could not be converted from 0 to 16000"),
        "{message}"
    );
}

#[test]
fn nonsense_in_stays_within_bounds() {
    let mut sound = mix(44_100, 0.3, 3000.0);
    for (at, value) in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX, f32::MIN]
        .into_iter()
        .enumerate()
    {
        sound[5000 + at] = value;
    }
    let out = resample(&sound, 44_100, SAMPLE_RATE).unwrap();
    assert!(out.iter().all(|sample| sample.abs() < 50.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn cutting_into_calls_makes_no_difference(
        rate in prop::sample::select(vec![8_000_u32, 16_000, 22_050, 44_100, 48_000]),
        cuts in prop::collection::vec(0_usize..3000, 0..12),
    ) {
        let sound = mix(rate, 0.3, 3000.0);
        let whole = resample(&sound, rate, SAMPLE_RATE).unwrap();
        let mut resampler = Resampler::new(rate, SAMPLE_RATE).unwrap();
        // Twice through the same one: it must be as new after `finish`.
        for _ in 0..2 {
            let (mut pieces, mut rest) = (Vec::new(), &sound[..]);
            for &cut in &cuts {
                let (now, later) = rest.split_at(cut.min(rest.len()));
                resampler.push(now, &mut pieces).unwrap();
                rest = later;
            }
            resampler.push(rest, &mut pieces).unwrap();
            resampler.finish(&mut pieces).unwrap();
            prop_assert_eq!(&pieces, &whole);
        }
    }
}

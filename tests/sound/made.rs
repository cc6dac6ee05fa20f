//! Sound that the tests make for themselves.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};
use std::process::Command;

use couchside::hear::read_wav;
use hound::{SampleFormat, WavSpec, WavWriter};

/// Sines that fit a telephone's band and up to eight tenths of `top` hertz, with known phases; `rate` samples per
/// second.
pub fn mix(rate: u32, seconds: f64, top: f64) -> Vec<f32> {
    let sines = [(0.031, 0.3), (0.127, 1.1), (0.31, 2.0), (0.52, 0.7), (0.8, 2.9)];
    (0..(seconds * f64::from(rate)) as usize)
        .map(|i| {
            let t = i as f64 / f64::from(rate);
            sines
                .iter()
                .map(|(part, phase)| 0.15 * (TAU * part * top * t + phase).sin())
                .sum::<f64>() as f32
        })
        .collect()
}

/// A tone of `hertz`.
pub fn tone(rate: u32, seconds: f64, hertz: f64, level: f64) -> Vec<f32> {
    (0..(seconds * f64::from(rate)) as usize)
        .map(|i| (level * (TAU * hertz * i as f64 / f64::from(rate)).sin()) as f32)
        .collect()
}

/// White noise of this root mean square, the same at every run.
pub fn noise(samples: usize, level: f32) -> Vec<f32> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = move || {
        // Marsaglia's xorshift64.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as f32 / (1 << 24) as f32 - 0.5
    };
    // A sum of twelve uniform numbers is near enough to normal, with a variance of 1.
    (0..samples)
        .map(|_| level * (0..12).map(|_| next()).sum::<f32>())
        .collect()
}

/// Root mean square.
pub fn rms(samples: &[f32]) -> f32 {
    (samples.iter().map(|s| s * s).sum::<f32>() / samples.len() as f32).sqrt()
}

/// How far `heard` is from `truth`, in dB of signal to error.
pub fn snr_db(truth: &[f32], heard: &[f32]) -> f64 {
    let power = |values: &mut dyn Iterator<Item = f64>| values.map(|v| v * v).sum::<f64>();
    let signal = power(&mut truth.iter().map(|&t| f64::from(t)));
    let error = power(
        &mut truth
            .iter()
            .zip(heard)
            .map(|(&t, &h)| f64::from(t) - f64::from(h)),
    );
    10.0 * (signal / error).log10()
}

/// Writes mono or stereo sound (the same in both channels) as WAV.
pub fn write_wav(folder: &Path, name: &str, spec: WavSpec, mono: &[f32]) -> PathBuf {
    let path = folder.join(name);
    let mut writer = WavWriter::create(&path, spec).unwrap();
    for &sample in mono {
        for _ in 0..spec.channels {
            match spec.sample_format {
                SampleFormat::Float => writer.write_sample(sample).unwrap(),
                SampleFormat::Int => {
                    let full_scale = (1_i64 << (spec.bits_per_sample - 1)) as f64;
                    let value = (f64::from(sample) * full_scale)
                        .round()
                        .clamp(-full_scale, full_scale - 1.0);
                    writer.write_sample(value as i32).unwrap();
                }
            }
        }
    }
    writer.finalize().unwrap();
    path
}

pub fn spec(rate: u32, channels: u16, bits: u16) -> WavSpec {
    WavSpec {
        channels,
        sample_rate: rate,
        bits_per_sample: bits,
        sample_format: SampleFormat::Int,
    }
}

/// Speech at a level of 0.1 without the quiet around it: from the first to the last 5 ms within 40 dB of the loudest.
pub fn spoken(folder: &Path, program: &str, voice: &str, text: &str) -> Vec<f32> {
    let path = folder.join("speech.wav");
    let (voice_option, file_option, text_option) = if program == "flite" {
        ("-voice", "-o", "-t")
    } else {
        ("-v", "-w", "-b1")
    };
    let status = Command::new(program)
        .args([voice_option, voice, file_option])
        .arg(&path)
        .args([text_option, text])
        .status()
        .expect("these tests need espeak-ng and flite installed");
    assert!(status.success());
    let sound = read_wav(&path).unwrap();
    let levels: Vec<f32> = sound.chunks(80).map(rms).collect();
    let loudest = levels.iter().copied().fold(0.0, f32::max);
    let loud = |level: &f32| *level > loudest * 0.01;
    let from = levels.iter().position(loud).unwrap() * 80;
    let to = sound.len().min((levels.iter().rposition(loud).unwrap() + 1) * 80);
    let gain = 0.1 / rms(&sound[from..to]);
    sound[from..to].iter().map(|sample| sample * gain).collect()
}

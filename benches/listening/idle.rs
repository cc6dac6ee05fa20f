//! The cost of sound in which nobody speaks: 48 kHz as a microphone brings it, through resampling and the endpointer.

use std::time::Instant;

use couchside::hear::{Endpointer, Pause, Resampler, SAMPLE_RATE, Settings};

const RATE: u32 = 48_000;
const MINUTES: usize = 60;
/// The most of one core that listening to silence may cost.
const MOST: f64 = 0.03;

/// A row for each kind of sound, an hour of each.
pub fn table() {
    println!("\n{MINUTES} minutes of   CPU, % of a core   most sound kept, s   memory grew by, MB");
    let minute = 60 * RATE as usize;
    let silence = vec![0.0; minute];
    let room = noise(minute, 0.001);
    let loud = noise(minute, 0.05);
    for (name, sound) in [("silence", silence), ("a quiet room", room), ("loud noise", loud)] {
        let cost = listen(&sound);
        let verdict = if cost.of_core <= MOST { "met" } else { "missed" };
        println!(
            "{name:13} {:16.3} {:20.1} {:20}   expected: at most {} %, {verdict}",
            cost.of_core * 100.0,
            cost.kept_s,
            cost.grew_mb.map_or("–".into(), |mb| format!("{mb:.1}")),
            MOST * 100.0
        );
    }
}

struct Cost {
    /// Computing time for each second of sound.
    of_core: f64,
    kept_s: f64,
    grew_mb: Option<f64>,
}

fn listen(minute: &[f32]) -> Cost {
    let mut resampler = Resampler::new(RATE, SAMPLE_RATE).expect("a resampler");
    let mut endpointer = Endpointer::new(Settings::default());
    let (mut kept_s, mut heard) = (0.0_f64, Vec::new());
    let before_mb = memory_mb();
    let began = computed_s();
    for _ in 0..MINUTES {
        for piece in minute.chunks(RATE as usize / 50) {
            heard.clear();
            resampler.push(piece, &mut heard).expect("sound");
            endpointer.take(&heard);
            while endpointer.go_on().is_some() {
                endpointer.answer(Pause::Middle);
            }
            kept_s = kept_s.max(endpointer.kept_s());
        }
    }
    Cost {
        of_core: (computed_s() - began) / (MINUTES as f64 * 60.0),
        kept_s,
        grew_mb: memory_mb().zip(before_mb).map(|(after, before)| after - before),
    }
}

/// Seconds that this thread has computed; where the system does not tell, seconds that have passed.
fn computed_s() -> f64 {
    thread_local!(static BEGAN: Instant = Instant::now());
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    told.and_then(|told| told.split(' ').next()?.parse::<f64>().ok())
        .map_or_else(
            || BEGAN.with(|began| began.elapsed().as_secs_f64()),
            |ns| ns / 1e9,
        )
}

fn memory_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let kib = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kib: f64 = kib.trim_end_matches("kB").trim().parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

/// Noise of this root mean square, the same at every run.
pub fn noise(samples: usize, level: f32) -> Vec<f32> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = move || {
        // Marsaglia's xorshift64.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as f32 / (1 << 24) as f32 - 0.5
    };
    // Uniform between −√3 and √3: a variance of 1.
    (0..samples).map(|_| level * 12_f32.sqrt() * next()).collect()
}

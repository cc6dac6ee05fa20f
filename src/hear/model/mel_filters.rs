//! The mel filterbank that stands in a ggml Whisper file, computed as librosa's `filters.mel` does: Slaney's scale
//! (M. Slaney, Auditory Toolbox, 1998), triangles of equal area, 16 kHz, a Fourier transform of 400 points.

/// Points of the Fourier transform: 25 ms at 16 kHz.
const POINTS: u32 = 400;

/// Values per band: the frequencies from 0 to 8 kHz in steps of 40 Hz.
pub const FREQUENCIES: usize = POINTS as usize / 2 + 1;

/// Hertz per mel below the break at 1 kHz.
const LINEAR_STEP: f64 = 200.0 / 3.0;
/// Above 1 kHz, 27 mels are a factor of 6.4 in frequency.
const BREAK_HZ: f64 = 1000.0;
const BREAK_MEL: f64 = BREAK_HZ / LINEAR_STEP;

/// The filterbank of `bands` bands, band after band, each with [`FREQUENCIES`] values.
///
/// The rounding is librosa's, so that the file comes out byte for byte: a triangle is rounded to 32 bits first and
/// then scaled by a 64-bit factor, and zeros are positive.
pub fn mel_filters(bands: u32) -> Vec<f32> {
    let rate = f64::from(crate::hear::SAMPLE_RATE);
    let edges = edges(bands, rate / 2.0);
    let mut filters = Vec::new();
    for edge in edges.windows(3) {
        let (low, middle, high) = (edge[0], edge[1], edge[2]);
        let scale = 2.0 / (high - low);
        for step in 0..FREQUENCIES {
            let frequency = step as f64 * (rate / f64::from(POINTS));
            let rising = (frequency - low) / (middle - low);
            let falling = (high - frequency) / (high - middle);
            let triangle = rising.min(falling).max(0.0) as f32;
            filters.push((f64::from(triangle) * scale) as f32 + 0.0);
        }
    }
    filters
}

/// The corners of the triangles in hertz: `bands` + 2 of them, evenly spaced in mels from 0 to `top`.
fn edges(bands: u32, top: f64) -> Vec<f64> {
    let log_step = 6.4_f64.ln() / 27.0;
    let top_mel = BREAK_MEL + (top / BREAK_HZ).ln() / log_step;
    let step = top_mel / f64::from(bands + 1);
    let hertz = |mel: f64| match mel >= BREAK_MEL {
        true => BREAK_HZ * (log_step * (mel - BREAK_MEL)).exp(),
        false => LINEAR_STEP * mel,
    };
    (0..=bands)
        .map(|i| hertz(f64::from(i) * step))
        .chain([hertz(top_mel)])
        .collect()
}

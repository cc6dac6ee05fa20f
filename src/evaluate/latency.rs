//! How long the answer keeps one waiting.

use serde::Serialize;

/// Times of decoding, over all utterances heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Latency {
    /// Utterances heard.
    pub utterances: usize,
    pub median_ms: f64,
    /// The 95th percentile, as the smallest time that 95 % do not exceed.
    pub p95_ms: f64,
    /// All decoding time divided by all speech.
    pub of_speech: f64,
    /// Cases heard at the same time: more than one slow each other down.
    pub jobs: usize,
}

/// From milliseconds of decoding and seconds of speech for each utterance; `None` without any.
pub fn latency(decoding: &[(f64, f64)], jobs: usize) -> Option<Latency> {
    let mut times: Vec<f64> = decoding.iter().map(|(ms, _)| *ms).collect();
    times.sort_by(f64::total_cmp);
    let at = |part: f64| {
        times
            .get(((times.len() as f64 * part).ceil() as usize).saturating_sub(1))
            .copied()
    };
    let speech_s: f64 = decoding.iter().map(|(_, seconds)| seconds).sum();
    let (median_ms, p95_ms) = (at(0.5)?, at(0.95)?);
    Some(Latency {
        utterances: times.len(),
        median_ms,
        p95_ms,
        of_speech: times.iter().sum::<f64>() / 1000.0 / speech_s.max(f64::MIN_POSITIVE),
        jobs,
    })
}

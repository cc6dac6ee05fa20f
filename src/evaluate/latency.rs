//! How long the answer keeps one waiting.

use serde::Serialize;

/// How long one utterance took.
#[derive(Clone, Copy, Debug)]
pub struct Times {
    pub decode_ms: f64,
    pub speech_s: f64,
    /// From the end of the speech to the answer, see [`Heard::answered_s`](crate::hear::Heard::answered_s).
    pub answered_ms: Option<f64>,
    /// A finding of which nothing is missing or in doubt came of it.
    pub settled: bool,
}

/// Times over all utterances heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Latency {
    /// Utterances heard.
    pub utterances: usize,
    /// Milliseconds of decoding.
    pub median_ms: f64,
    /// The 95th percentile, as the smallest time that 95 % do not exceed.
    pub p95_ms: f64,
    /// All decoding time divided by all speech.
    pub of_speech: f64,
    /// Cases heard at the same time: more than one slow each other down.
    pub jobs: usize,
    /// From the end of the speech to the answer; what is heard while the pause still lasts costs nothing. Utterances
    /// with which the sound ends too soon are left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<Spread>,
    /// The same of whole findings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer_to_findings: Option<Spread>,
}

/// Milliseconds of several utterances.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spread {
    pub utterances: usize,
    pub median_ms: f64,
    /// As in [`Latency`].
    pub p95_ms: f64,
}

/// From the times of each utterance; `None` without any.
pub fn latency(times: &[Times], jobs: usize) -> Option<Latency> {
    let decoding = spread(times.iter().map(|times| times.decode_ms))?;
    let speech_s: f64 = times.iter().map(|times| times.speech_s).sum();
    let decoding_ms: f64 = times.iter().map(|times| times.decode_ms).sum();
    Some(Latency {
        utterances: decoding.utterances,
        median_ms: decoding.median_ms,
        p95_ms: decoding.p95_ms,
        of_speech: decoding_ms / 1000.0 / speech_s.max(f64::MIN_POSITIVE),
        jobs,
        answer: spread(times.iter().filter_map(|times| times.answered_ms)),
        answer_to_findings: spread(
            times
                .iter()
                .filter(|times| times.settled)
                .filter_map(|times| times.answered_ms),
        ),
    })
}

fn spread(times: impl Iterator<Item = f64>) -> Option<Spread> {
    let mut times: Vec<f64> = times.collect();
    times.sort_by(f64::total_cmp);
    let at = |part: f64| {
        times
            .get(((times.len() as f64 * part).ceil() as usize).saturating_sub(1))
            .copied()
    };
    Some(Spread {
        utterances: times.len(),
        median_ms: at(0.5)?,
        p95_ms: at(0.95)?,
    })
}

//! A clip, to be heard.

use std::io::Cursor;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;

use super::answer::{Answer, Refusal};
use super::desk::Desk;
use crate::hear::SAMPLE_RATE;

/// The clip as a WAV file, which is nowhere on the disk.
pub async fn play(State(desk): State<Arc<Desk>>, Path(clip): Path<i64>) -> Answer {
    let samples = desk.with(move |record, _| Ok(record.sound(clip)?)).await?;
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: SAMPLE_RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut wav = Cursor::new(Vec::new());
    let written = hound::WavWriter::new(&mut wav, spec).and_then(|mut writer| {
        for sample in samples {
            writer.write_sample((sample.clamp(-1.0, 1.0) * 32_767.0) as i16)?;
        }
        writer.finalize()
    });
    written.map_err(|_| Refusal::Broken)?;
    Ok(([(CONTENT_TYPE, "audio/wav")], wav.into_inner()).into_response())
}

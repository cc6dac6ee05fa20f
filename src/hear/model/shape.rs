//! The sizes of a Whisper model, and which of them a Whisper model can have.

use super::Fault;

/// Columns of attention per head, the same in every Whisper model.
pub const HEAD_WIDTH: u32 = 64;

/// The sizes that stand at the head of a ggml Whisper file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shape {
    /// Number of tokens, special ones included: 51864 for English-only models, else 51865 or 51866.
    pub tokens: u32,
    /// Frames of sound: 1500, which is 30 seconds.
    pub audio_frames: u32,
    /// Width of the encoder.
    pub audio_width: u32,
    pub audio_heads: u32,
    pub audio_layers: u32,
    /// Longest text in tokens: 448.
    pub text_length: u32,
    /// Width of the decoder.
    pub text_width: u32,
    pub text_heads: u32,
    pub text_layers: u32,
    /// Bands of the mel spectrum: 80, or 128 in the third large model.
    pub mels: u32,
}

impl Shape {
    /// The sizes in the order of the file.
    pub fn to_header(self) -> [u32; 10] {
        [
            self.tokens,
            self.audio_frames,
            self.audio_width,
            self.audio_heads,
            self.audio_layers,
            self.text_length,
            self.text_width,
            self.text_heads,
            self.text_layers,
            self.mels,
        ]
    }

    /// The shape whose sizes stand in the order of the file.
    pub fn from_header(header: [u32; 10]) -> Shape {
        let [
            tokens,
            audio_frames,
            audio_width,
            audio_heads,
            audio_layers,
            text_length,
            text_width,
            text_heads,
            text_layers,
            mels,
        ] = header;
        Shape {
            tokens,
            audio_frames,
            audio_width,
            audio_heads,
            audio_layers,
            text_length,
            text_width,
            text_heads,
            text_layers,
            mels,
        }
    }

    /// Whether the sizes are ones that a Whisper model can have. The recogniser takes them on trust: others make
    /// it read outside its memory or stop the program.
    ///
    /// # Errors
    /// A fault that names the first size that can't be.
    pub fn check(&self) -> Result<(), Fault> {
        let size = |what: &str, found: u32, fits: bool| match fits {
            true => Ok(()),
            false => Err(Fault(format!("no Whisper model has {found} {what}"))),
        };
        size("tokens", self.tokens, (51_864..=51_866).contains(&self.tokens))?;
        size("frames of sound", self.audio_frames, self.audio_frames == 1500)?;
        size(
            "tokens of text at once",
            self.text_length,
            self.text_length == 448,
        )?;
        let width = self.audio_width;
        size(
            "columns",
            width,
            width.is_multiple_of(HEAD_WIDTH) && (HEAD_WIDTH..=1280).contains(&width),
        )?;
        size(
            "columns in one half and not in the other",
            self.text_width,
            self.text_width == width,
        )?;
        size(
            "heads for its width",
            self.audio_heads,
            self.audio_heads == width / HEAD_WIDTH,
        )?;
        size(
            "heads for its width",
            self.text_heads,
            self.text_heads == width / HEAD_WIDTH,
        )?;
        size("layers", self.audio_layers, (1..=32).contains(&self.audio_layers))?;
        size("layers", self.text_layers, (1..=32).contains(&self.text_layers))?;
        size("bands of sound", self.mels, self.mels == 80 || self.mels == 128)
    }

    /// Whether the model knows languages other than English.
    pub fn is_multilingual(&self) -> bool {
        self.tokens > 51_864
    }
}

//! whisper.cpp's C functions behind types that cannot be misused. All `unsafe` code of hearing is in this file.
//!
//! The C side checks nothing: a token or a position out of range ends the process. [`Whisper`] is therefore
//! private to the engine, and each method says what its caller has checked.

use std::ffi::{CString, c_void};
use std::path::Path;
use std::ptr::{self, NonNull};
use std::sync::Once;

use whisper_rs::whisper_rs_sys as sys;

use super::Token;

/// Threads that compute. whisper.cpp's threads wait for each other by spinning, so that a second one on a busy
/// two-core computer makes an encode thirty times slower, where it would save a third on an idle one.
const THREADS: i32 = 1;

/// A loaded model and the working memory of one utterance.
pub(super) struct Whisper {
    context: NonNull<sys::whisper_context>,
    state: NonNull<sys::whisper_state>,
    /// Width of a row of scores.
    pub n_vocabulary: usize,
    /// Tokens that fit into the decoder, prompt included.
    pub n_places: usize,
}

// SAFETY: whisper.cpp keeps nothing of a context or state in thread-local memory, and the only owner of both
// pointers is this value; `Whisper` is not `Sync` because raw pointers are not.
unsafe impl Send for Whisper {}

/// The ids of the tokens that stand for no text.
pub(super) struct SpecialIds {
    pub end_of_text: Token,
    pub start: Token,
    pub english: Token,
    pub transcribe: Token,
    pub no_timestamps: Token,
    pub no_speech: Token,
    pub multilingual: bool,
}

impl Whisper {
    /// Loads a model file that `ggml_check` has found whole; `None` if whisper.cpp refuses it.
    pub fn load(path: &Path) -> Option<Whisper> {
        silence();
        let path = CString::new(path.as_os_str().as_encoded_bytes()).ok()?;
        // SAFETY: `path` ends with NUL and outlives the call. The parameters are whisper.cpp's own, changed in
        // plain fields only. Both results are checked for NULL before use, and freed once, in `drop` or here.
        unsafe {
            let mut parameters = sys::whisper_context_default_params();
            parameters.use_gpu = false;
            // Flash attention pads short windows without masking what is in the padding.
            parameters.flash_attn = false;
            let context = NonNull::new(sys::whisper_init_from_file_with_params_no_state(
                path.as_ptr(),
                parameters,
            ))?;
            let Some(state) = NonNull::new(sys::whisper_init_state(context.as_ptr())) else {
                sys::whisper_free(context.as_ptr());
                return None;
            };
            Some(Whisper {
                context,
                state,
                n_vocabulary: sys::whisper_n_vocab(context.as_ptr()) as usize,
                n_places: sys::whisper_n_text_ctx(context.as_ptr()) as usize,
            })
        }
    }

    pub fn special_ids(&self) -> SpecialIds {
        let context = self.context.as_ptr();
        // SAFETY: the context is alive as long as `self`; these functions only read its numbers.
        unsafe {
            SpecialIds {
                end_of_text: sys::whisper_token_eot(context),
                start: sys::whisper_token_sot(context),
                english: sys::whisper_token_lang(context, sys::whisper_lang_id(c"en".as_ptr())),
                transcribe: sys::whisper_token_transcribe(context),
                no_timestamps: sys::whisper_token_not(context),
                no_speech: sys::whisper_token_nosp(context),
                multilingual: sys::whisper_is_multilingual(context) != 0,
            }
        }
    }

    /// Runs the encoder over `samples` (16 kHz; the caller has seen to it that they are at least 0.3 s and at
    /// most 30 s and all finite) with a window of `places` positions of 20 ms (at most 1500). False on failure.
    ///
    /// The width of the window can be set in one way only: through `whisper_full`, which computes the mel
    /// spectrogram, sets the width, and then asks whether it may begin. It is told no, and the encoder is run
    /// for itself.
    pub fn encode(&mut self, samples: &[f32], places: u16) -> bool {
        let Ok(n_samples) = i32::try_from(samples.len()) else {
            return false;
        };
        let (context, state) = (self.context.as_ptr(), self.state.as_ptr());
        // SAFETY: both pointers are alive and not shared (`&mut self`); `samples` is valid for `n_samples`; the
        // language is a NUL-terminated constant; `refuse` neither unwinds nor keeps its arguments.
        unsafe {
            let mut parameters =
                sys::whisper_full_default_params(sys::whisper_sampling_strategy_WHISPER_SAMPLING_GREEDY);
            parameters.n_threads = THREADS;
            parameters.greedy.best_of = 1;
            parameters.language = c"en".as_ptr();
            parameters.print_progress = false;
            parameters.print_timestamps = false;
            parameters.audio_ctx = i32::from(places);
            parameters.encoder_begin_callback = Some(refuse);
            sys::whisper_full_with_state(context, state, parameters, samples.as_ptr(), n_samples) == 0
                && sys::whisper_encode_with_state(context, state, 0, THREADS) == 0
        }
    }

    /// Runs the decoder over `tokens`, the first of which stands at place `past`, forgetting what was decoded
    /// from there on. Returns the logits after the last token, `None` on failure.
    ///
    /// The caller has encoded a sound, decoded the places before `past`, and checked that `tokens` is not empty,
    /// that each is below `n_vocabulary` and that the last place is below `n_places`.
    pub fn decode(&mut self, tokens: &[Token], past: usize) -> Option<&[f32]> {
        let (n_tokens, n_past) = (i32::try_from(tokens.len()).ok()?, i32::try_from(past).ok()?);
        let (context, state) = (self.context.as_ptr(), self.state.as_ptr());
        // SAFETY: the pointers are alive and not shared; `tokens` is valid for `n_tokens`. After success the
        // logits hold `n_tokens` rows of `n_vocabulary`, of which only the last one has been written; they stay
        // where they are until the next call, which `&mut self` keeps off while the slice lives.
        unsafe {
            if sys::whisper_decode_with_state(context, state, tokens.as_ptr(), n_tokens, n_past, THREADS) != 0
            {
                return None;
            }
            let rows = NonNull::new(sys::whisper_get_logits_from_state(state))?;
            let last = rows.as_ptr().add((tokens.len() - 1) * self.n_vocabulary);
            Some(std::slice::from_raw_parts(last, self.n_vocabulary))
        }
    }
}

impl Drop for Whisper {
    fn drop(&mut self) {
        // SAFETY: this value owns both, and the state goes before the context that it was made from.
        unsafe {
            sys::whisper_free_state(self.state.as_ptr());
            sys::whisper_free(self.context.as_ptr());
        }
    }
}

/// Turns off the lines that whisper.cpp and ggml would write to standard error.
fn silence() {
    static ONCE: Once = Once::new();
    // SAFETY: `ignore` has the type that is asked for, takes no data and does nothing. whisper.cpp hands it on
    // to ggml.
    ONCE.call_once(|| unsafe { sys::whisper_log_set(Some(ignore), ptr::null_mut()) });
}

unsafe extern "C" fn ignore(_: sys::ggml_log_level, _: *const std::ffi::c_char, _: *mut c_void) {}

unsafe extern "C" fn refuse(
    _: *mut sys::whisper_context,
    _: *mut sys::whisper_state,
    _: *mut c_void,
) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use super::*;

    #[test]
    fn a_file_that_whisper_refuses_is_no_model() {
        let mut file = tempfile::NamedTempFile::new().unwrap();
        file.write_all(b"RIFF????WAVEfmt ").unwrap();
        assert!(Whisper::load(file.path()).is_none());
    }
}

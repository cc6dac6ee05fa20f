//! Plain transcription: always the likeliest next token, without a grammar.
//!
//! It is the second reader's ear, the way of free notes, and the baseline that the grammar search is measured
//! against.

use super::{Engine, EngineError, Token};

/// What plain decoding heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Transcript {
    /// The words as the model writes them, trimmed.
    pub text: String,
    /// Their tokens, without the end of text.
    pub tokens: Vec<Token>,
    /// The log-probability of each token, over text tokens and the end of text.
    pub log_probabilities: Vec<f32>,
    /// How the transcript came to its end.
    pub ending: Ending,
}

impl Transcript {
    /// The geometric mean of the tokens' probabilities, 0 to 1; 0 without any token.
    pub fn probability(&self) -> f32 {
        let sum: f32 = self.log_probabilities.iter().sum();
        match self.log_probabilities.len() {
            0 => 0.0,
            tokens => (sum / tokens as f32).exp(),
        }
    }
}

/// How a transcript came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The model said that there is no more.
    Heard,
    /// The model began to repeat itself; all but the first copy was cut off.
    Loop,
    /// The model said more than can be spoken in the time of the sound, or more than was asked for.
    TooMuch,
}

/// Tokens that can be spoken in a second: fast English is about four words, and a word one to two tokens.
const TOKENS_PER_SECOND: f32 = 8.0;
/// Tokens allowed beyond that: a short clip still has its word and full stop.
const TOKENS_MORE: usize = 12;

impl Engine {
    /// Transcribes the sound at hand freely, with at most `max_tokens` tokens, and never more than can be
    /// spoken in its time.
    pub fn transcribe(&mut self, max_tokens: usize) -> Result<Transcript, EngineError> {
        let seconds = self.seconds.ok_or(EngineError::NoSound)?;
        let speakable = (seconds * TOKENS_PER_SECOND) as usize + TOKENS_MORE;
        let limit = max_tokens
            .min(speakable)
            .min(self.whisper.n_places - self.prompt.len());
        let (mut tokens, mut log_probabilities) = (Vec::new(), Vec::new());
        let mut ending = Ending::TooMuch;
        while tokens.len() < limit {
            let (token, score) = likeliest(self.scores(&tokens)?);
            if token == self.vocabulary.end_of_text() {
                ending = Ending::Heard;
                break;
            }
            tokens.push(token);
            log_probabilities.push(score);
            if let Some(keep) = first_copy_of_loop(&tokens) {
                tokens.truncate(keep);
                log_probabilities.truncate(keep);
                ending = Ending::Loop;
                break;
            }
        }
        let text = self.words(&tokens).trim().to_owned();
        Ok(Transcript {
            text,
            tokens,
            log_probabilities,
            ending,
        })
    }
}

/// The token with the highest score; scores are never all −∞.
fn likeliest(scores: &[f32]) -> (Token, f32) {
    let first = (0, f32::NEG_INFINITY);
    (0..)
        .zip(scores.iter().copied())
        .fold(first, |best, next| if next.1 > best.1 { next } else { best })
}

/// If the tokens end in copies of one run of tokens, at least three and twelve tokens in all, the length up to
/// the end of the first copy. Dictation may say a number twice; nobody says one six times.
fn first_copy_of_loop(tokens: &[Token]) -> Option<usize> {
    (1..=tokens.len() / 3).find_map(|period| {
        let same = tokens
            .iter()
            .rev()
            .zip(tokens.iter().rev().skip(period))
            .take_while(|(a, b)| a == b)
            .count();
        let repeated = same + period;
        (repeated >= 12 && repeated >= 3 * period).then(|| tokens.len() - repeated + period)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_token_over_and_over_is_a_loop() {
        let tokens: Vec<Token> = [5, 6].into_iter().chain([7; 12]).collect();
        assert_eq!(first_copy_of_loop(&tokens), Some(3));
        assert_eq!(first_copy_of_loop(&tokens[..13]), None);
    }

    #[test]
    fn a_phrase_said_three_times_is_a_loop_and_twice_is_not() {
        let phrase = [1, 2, 3, 4, 5];
        assert_eq!(first_copy_of_loop(&phrase.repeat(3)), Some(5));
        assert_eq!(first_copy_of_loop(&phrase.repeat(2)), None);
    }

    #[test]
    fn different_tokens_are_no_loop() {
        assert_eq!(first_copy_of_loop(&(0..100).collect::<Vec<_>>()), None);
    }

    #[test]
    fn the_highest_score_wins_and_the_first_of_equals() {
        assert_eq!(likeliest(&[-3.0, -1.0, -1.0, f32::NEG_INFINITY]), (1, -1.0));
    }
}

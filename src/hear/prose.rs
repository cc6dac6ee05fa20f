//! Free words, for notes: written by the stock model, which hears prose better than one that was adapted to the trade.

use std::path::{Path, PathBuf};

use super::engine::{Engine, Transcript, Window};
use super::model::catalogue::by_name;
use super::recogniser::model_name;

/// Tokens of the longest note.
const MOST_TOKENS: usize = 200;

/// The stock model; loaded with the first note, as most sessions have none.
pub struct Prose {
    file: Option<PathBuf>,
    engine: Option<Engine>,
}

impl Prose {
    /// The model that `model` was made of, if it was made of one that lies beside it.
    pub fn beside(model: &Path) -> Prose {
        let from = by_name(&model_name(model)).and_then(|known| known.adapted.as_ref());
        let stock = from.and_then(|adapted| by_name(&adapted.from));
        let file = stock.map(|stock| model.with_file_name(&stock.file));
        Prose {
            file: file.filter(|file| file.exists()),
            engine: None,
        }
    }

    /// What it writes of 16 kHz sound; `None` if there is no such model, or if it fails: then what the other wrote stands.
    pub fn transcribe(&mut self, samples: &[f32]) -> Option<Transcript> {
        if self.engine.is_none() {
            self.engine = Engine::load(self.file.as_ref()?).ok();
        }
        let engine = self.engine.as_mut()?;
        engine.encode(samples, Window::Fitted).ok()?;
        engine.transcribe(MOST_TOKENS).ok()
    }
}

//! What passes the check, the recogniser loads.

use whisper_rs::{WhisperContext, WhisperContextParameters};

use couchside::hear::model::add::{Request, add};
use couchside::hear::model::find;

use super::synthetic;

#[test]
fn the_recogniser_loads_a_model_that_has_been_added() {
    whisper_rs::install_logging_hooks();
    let place = tempfile::tempdir().unwrap();
    let source = place.path().join("source");
    synthetic::folder(&source);
    let request = Request {
        sources: &[source],
        name: Some("mine"),
        allow_unknown: true,
    };
    add(place.path(), request, &mut ()).unwrap();
    let path = find::path_in(place.path(), Some("mine")).unwrap();
    let context = WhisperContext::new_with_params(&path, WhisperContextParameters::default()).unwrap();
    assert_eq!(
        (context.n_vocab(), context.n_audio_ctx(), context.n_text_ctx()),
        (51_864, 1500, 448)
    );
    assert_eq!(context.token_to_bytes(7).unwrap(), b" 7");
}

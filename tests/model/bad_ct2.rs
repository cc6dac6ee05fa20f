//! Damaged and hostile CTranslate2 weights and vocabularies.

use couchside::hear::model::ct2::Weights;
use couchside::hear::model::ggml_write::Conversion;
use couchside::hear::model::shape::Shape;
use couchside::hear::model::vocabulary::{self, Tokens};

use super::synthetic::{self, Ct2, FLOAT16, INT8};

fn fault(file: &[u8], tokens: &Tokens) -> String {
    let weights = match Weights::read(file) {
        Ok(weights) => weights,
        Err(fault) => return fault.to_string(),
    };
    match Conversion::new(&weights, tokens) {
        Ok(_) => "nothing".to_string(),
        Err(fault) => fault.to_string(),
    }
}

/// A file of one variable whose bytes are given, and which is said to hold `count`.
fn raw(count: u32, variables: &[u8]) -> Vec<u8> {
    let head = &Ct2::default().file()[..22];
    [head, &count.to_le_bytes(), variables].concat()
}

/// A variable named `w`: rank, what follows.
fn variable(rank: u8, sizes: &[u32], kind: u8, bytes: u32) -> Vec<u8> {
    let sizes: Vec<u8> = sizes.iter().flat_map(|size| size.to_le_bytes()).collect();
    [
        &Ct2::name("w")[..],
        &[rank],
        &sizes,
        &[kind],
        &bytes.to_le_bytes(),
    ]
    .concat()
}

#[test]
fn weights_that_lie_or_end_early_are_refused() {
    let begin = "its weights do not begin as those of a CTranslate2 Whisper model do";
    let early =
        |inside: &str| format!("it ends too early, in {inside}, so it was not copied or downloaded whole");
    let mut version_5 = Ct2::default().file();
    version_5[0] = 5;
    let twice = Ct2::default()
        .variable("w", &[], FLOAT16, &[0, 0])
        .variable("w", &[], FLOAT16, &[0, 0])
        .file();
    let left_over = [Ct2::default().file(), vec![0]].concat();
    for (name, file, message) in [
        ("empty", vec![], begin.to_string()),
        ("another version", version_5, begin.to_string()),
        (
            "no count",
            raw(0, &[])[..24].to_vec(),
            early("the head of the weights"),
        ),
        (
            "too many",
            raw(u32::MAX, &variable(0, &[], 1, 0)[..4]),
            early("the weight w"),
        ),
        ("no variable", raw(u32::MAX, &[]), early("weight 1 of 4294967295")),
        (
            "long name",
            raw(1, &[0xff, 0xff, b'w', 0]),
            early("weight 1 of 1"),
        ),
        (
            "open name",
            raw(1, &[1, 0, b'w']),
            "a name is garbled in weight 1 of 1".to_string(),
        ),
        (
            "no name",
            raw(1, &[0, 0]),
            "a name is garbled in weight 1 of 1".to_string(),
        ),
        (
            "not UTF-8",
            raw(1, &[2, 0, 0xff, 0]),
            "a name is garbled in weight 1 of 1".to_string(),
        ),
        (
            "rank",
            raw(1, &variable(255, &[], FLOAT16, 0)),
            "the weight w claims to have 255 dimensions".to_string(),
        ),
        (
            "type",
            raw(1, &variable(0, &[], 9, 0)),
            "the weight w is stored in an unknown type (9)".to_string(),
        ),
        (
            "bytes that lie",
            raw(1, &variable(1, &[8], FLOAT16, 17)),
            "the weight w claims 17 bytes, which does not go with its sizes [8]".to_string(),
        ),
        (
            "sizes that overflow to what is claimed",
            raw(1, &variable(4, &[1 << 31, 1 << 31, 2, 1], FLOAT16, 0)),
            "the weight w claims 0 bytes, which does not go with its sizes [2147483648, 2147483648, 2, 1]"
                .to_string(),
        ),
        (
            "four gigabytes",
            raw(1, &variable(1, &[u32::MAX / 2], FLOAT16, u32::MAX - 1)),
            early("the weight w"),
        ),
        ("twice", twice, "it has the weight w twice".to_string()),
        (
            "left over",
            left_over,
            "1 bytes are left over at its end".to_string(),
        ),
        (
            "alias of nothing",
            Ct2::default().alias("a", "b").file(),
            "an alias stands for the weight b, which is not there".to_string(),
        ),
        (
            "no model",
            Ct2::default().file(),
            "the weight decoder/embeddings/weight is missing".to_string(),
        ),
        (
            "wrong rank",
            Ct2::default().halves("decoder/embeddings/weight", &[4]).file(),
            "the weight decoder/embeddings/weight has 1 dimensions instead of 2".to_string(),
        ),
    ] {
        assert_eq!(fault(&file, &Tokens::new()), message, "{name}");
    }
}

#[test]
fn a_model_that_is_not_a_whole_16_bit_whisper_model_is_refused() {
    let tokens = vocabulary::from_tokenizer(synthetic::tokenizer().as_bytes()).unwrap();
    let whole = synthetic::model().file();
    assert_eq!(fault(&whole, &tokens), "nothing");
    assert_eq!(
        fault(&whole, &Tokens::new()),
        "its vocabulary has 0 tokens, which does not go with its weights"
    );
    let mut long = tokens.clone();
    long[0] = vec![b'a'; 1025];
    assert_eq!(fault(&whole, &long), "its vocabulary has a token of 1025 bytes");
    let rename = |from: &str, to: &str| {
        let mut file = whole.clone();
        let place = file
            .windows(from.len())
            .position(|window| window == from.as_bytes())
            .unwrap();
        file[place..place + to.len()].copy_from_slice(to.as_bytes());
        file
    };
    let missing = rename("encoder/layer_norm/beta", "encoder/layer_norm/bet_");
    assert_eq!(
        fault(&missing, &tokens),
        "the weight encoder/layer_norm/beta is missing"
    );
    let no_layer = rename("encoder/layer_0/ffn/linear_0/weight", "encoder/layer_9");
    assert_eq!(fault(&no_layer, &tokens), "no Whisper model has 0 layers");

    // The two halves of a variable's head: the type is the byte before the four that give its length.
    let name = "decoder/layer_norm/gamma";
    let place = whole
        .windows(name.len())
        .position(|window| window == name.as_bytes())
        .unwrap()
        + name.len()
        + 1;
    let mut eight_bit = whole[..place].to_vec();
    eight_bit.extend(
        [
            &[1][..],
            &64_u32.to_le_bytes(),
            &[INT8],
            &64_u32.to_le_bytes(),
            &[1; 64],
        ]
        .concat(),
    );
    eight_bit.extend(&whole[place + 10 + 128..]);
    assert_eq!(
        fault(&eight_bit, &tokens),
        "the weight decoder/layer_norm/gamma is stored as int8, but only float16 models can be converted"
    );
    let mut turned = whole[..place].to_vec();
    turned.extend([&[2][..], &1_u32.to_le_bytes(), &64_u32.to_le_bytes()].concat());
    turned.extend(&whole[place + 5..]);
    assert_eq!(
        fault(&turned, &tokens),
        "the weight decoder/layer_norm/gamma has the sizes [1, 64] instead of [64]"
    );
}

#[test]
fn vocabularies_that_are_not_are_refused() {
    for (json, message) in [
        ("", "its tokenizer.json can't be read"),
        ("{}", "its tokenizer.json can't be read"),
        (&*"[".repeat(100_000), "its tokenizer.json can't be read"),
        (
            r#"{"model":{"vocab":{"a":-1}}}"#,
            "its tokenizer.json can't be read",
        ),
        (
            r#"{"model":{"vocab":{"a":4294967295}}}"#,
            "are not numbered without gaps (token 4294967295)",
        ),
        (
            r#"{"model":{"vocab":{"a":0,"b":0}}}"#,
            "are not numbered without gaps (token 0)",
        ),
        (
            r#"{"model":{"vocab":{"☂":0}}}"#,
            "its vocabulary has the character '☂', which stands for no byte",
        ),
    ] {
        let fault = vocabulary::from_tokenizer(json.as_bytes())
            .unwrap_err()
            .to_string();
        assert!(fault.contains(message), "{fault}");
    }
    let shape = Shape::from_header([51_864, 1500, 64, 1, 1, 448, 64, 1, 1, 80]);
    for (json, message) in [
        ("{}", "its vocabulary.json can't be read"),
        ("[1]", "its vocabulary.json can't be read"),
        (r#"["a"]"#, "its vocabulary.json has no <|endoftext|>"),
    ] {
        let fault = vocabulary::from_list(json.as_bytes(), &shape)
            .unwrap_err()
            .to_string();
        assert!(fault.contains(message), "{fault}");
    }
}

#[test]
fn the_byte_table_is_gpt_2s() {
    // A blank, a new line, é in UTF-8 (0xc3 0xa9), and the three bytes at the edges of the table.
    let tokens = vocabulary::from_tokenizer(
        "{\"model\":{\"vocab\":{\"ĠaĊ\":0,\"Ã©\":1,\"ġłŃ\":2,\"\":3}}}".as_bytes(),
    )
    .unwrap();
    assert_eq!(tokens, [&b" a\n"[..], "é".as_bytes(), &[0x7f, 0xa0, 0xad], b""]);
    let shape = Shape::from_header([51_865, 1500, 64, 1, 1, 448, 64, 1, 1, 80]);
    let list = r#"["a","<|endoftext|>","<|startoftranscript|>"]"#.as_bytes();
    assert_eq!(vocabulary::from_list(list, &shape).unwrap(), [b"a"]);
}

//! A small Whisper model, written by hand in CTranslate2's form: English, 64 columns wide, one layer in each half.

use std::io::{Cursor, Write};
use std::path::Path;

use couchside::hear::model::ct2::Weights;
use couchside::hear::model::ggml_write::Conversion;
use couchside::hear::model::vocabulary;

/// The types of CTranslate2.
pub const INT8: u8 = 1;
pub const FLOAT16: u8 = 4;

/// A `model.bin` in the making.
#[derive(Clone, Default)]
pub struct Ct2 {
    variables: Vec<u8>,
    count: u32,
    aliases: Vec<(&'static str, &'static str)>,
}

impl Ct2 {
    /// A name as such a file holds it.
    pub fn name(name: &str) -> Vec<u8> {
        [&(name.len() as u16 + 1).to_le_bytes()[..], name.as_bytes(), &[0]].concat()
    }

    /// Adds a variable, whatever it is.
    pub fn variable(&mut self, name: &str, sizes: &[u32], kind: u8, data: &[u8]) -> &mut Ct2 {
        self.variables.extend(Ct2::name(name));
        self.variables.push(sizes.len() as u8);
        self.variables
            .extend(sizes.iter().flat_map(|size| size.to_le_bytes()));
        self.variables.push(kind);
        self.variables.extend((data.len() as u32).to_le_bytes());
        self.variables.extend(data);
        self.count += 1;
        self
    }

    /// Adds a variable of halves that differ from place to place.
    pub fn halves(&mut self, name: &str, sizes: &[u32]) -> &mut Ct2 {
        let count = sizes.iter().product::<u32>();
        self.variable(name, sizes, FLOAT16, &halves(name, count as usize))
    }

    pub fn alias(&mut self, from: &'static str, to: &'static str) -> &mut Ct2 {
        self.aliases.push((from, to));
        self
    }

    /// The whole file.
    pub fn file(&self) -> Vec<u8> {
        let mut file = b"\x06\x00\x00\x00".to_vec();
        file.extend(Ct2::name("WhisperSpec"));
        file.extend(3_u32.to_le_bytes());
        file.extend(self.count.to_le_bytes());
        file.extend(&self.variables);
        file.extend((self.aliases.len() as u32).to_le_bytes());
        for (from, to) in &self.aliases {
            file.extend(Ct2::name(from));
            file.extend(Ct2::name(to));
        }
        file
    }
}

/// Small numbers that look random and depend on the name only.
pub fn halves(name: &str, count: usize) -> Vec<u8> {
    let mut state = name.bytes().fold(1_u32, |state, byte| {
        state.wrapping_mul(31).wrapping_add(u32::from(byte))
    });
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        state >> 16
    };
    (0..count)
        .flat_map(|_| half::f16::from_f32(next() as f32 / 32_768.0 - 1.0).to_le_bytes())
        .collect()
}

/// The variables of the whole model.
pub fn model() -> Ct2 {
    let mut ct2 = Ct2::default();
    ct2.halves("decoder/embeddings/weight", &[51_864, 64]);
    ct2.halves("decoder/position_encodings/encodings", &[448, 64]);
    ct2.halves("encoder/position_encodings/encodings", &[1500, 64]);
    ct2.halves("encoder/conv1/weight", &[64, 80, 3])
        .halves("encoder/conv1/bias", &[64]);
    ct2.halves("encoder/conv2/weight", &[64, 64, 3])
        .halves("encoder/conv2/bias", &[64]);
    for half in ["decoder", "encoder"] {
        let mut norms = vec![
            "layer_norm",
            "layer_0/ffn/layer_norm",
            "layer_0/self_attention/layer_norm",
        ];
        let mut linears = vec![
            ("ffn/linear_0", 256, 64),
            ("ffn/linear_1", 64, 256),
            ("self_attention/linear_0", 192, 64),
            ("self_attention/linear_1", 64, 64),
        ];
        if half == "decoder" {
            norms.push("layer_0/attention/layer_norm");
            linears.extend([
                ("attention/linear_0", 64, 64),
                ("attention/linear_1", 128, 64),
                ("attention/linear_2", 64, 64),
            ]);
        }
        for norm in norms {
            ct2.halves(&format!("{half}/{norm}/gamma"), &[64])
                .halves(&format!("{half}/{norm}/beta"), &[64]);
        }
        for (linear, out, into) in linears {
            ct2.halves(&format!("{half}/layer_0/{linear}/weight"), &[out, into]);
            ct2.halves(&format!("{half}/layer_0/{linear}/bias"), &[out]);
        }
    }
    // Such files also hold settings, which a ggml file has no place for.
    ct2.variable("decoder/num_heads", &[], 2, &[1, 0]);
    ct2.alias("decoder/projection/weight", "decoder/embeddings/weight");
    ct2
}

/// A tokenizer.json with 50257 made-up tokens.
pub fn tokenizer() -> String {
    let tokens: Vec<String> = (0..50_256)
        .map(|number| format!("\"Ġ{number}\":{number}"))
        .collect();
    format!(
        r#"{{"model":{{"vocab":{{{},"<|endoftext|>":50256}}}}}}"#,
        tokens.join(",")
    )
}

/// The model as a ggml file.
pub fn ggml() -> Vec<u8> {
    let file = model().file();
    let tokens = vocabulary::from_tokenizer(tokenizer().as_bytes()).unwrap();
    let conversion = Conversion::new(&Weights::read(&file).unwrap(), &tokens).unwrap();
    let mut out = Vec::new();
    conversion.write(&mut out).unwrap();
    assert_eq!(out.len() as u64, conversion.bytes());
    out
}

/// A wheel that holds these files.
pub fn wheel(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, contents) in files {
        zip.start_file(*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        zip.write_all(contents).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Writes the model as a CTranslate2 folder.
pub fn folder(at: &Path) {
    std::fs::create_dir_all(at).unwrap();
    std::fs::write(at.join("model.bin"), model().file()).unwrap();
    std::fs::write(at.join("tokenizer.json"), tokenizer()).unwrap();
}

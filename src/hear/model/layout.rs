//! The tensors of a Whisper model: their names and order in a ggml file, their sizes, and where a CTranslate2
//! model keeps them. The writer and the checker both read this list.
//!
//! The order is that of the published files; with it a conversion is byte for byte the published file.

use super::shape::Shape;

/// How a tensor is stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// 32-bit in every ggml file: vectors, the bias of a convolution, positions.
    Full,
    /// A convolution's filter: 16-bit, also in files whose matrices are quantised.
    Filter,
    /// 16-bit, or what the file's type says.
    Matrix,
}

/// One tensor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tensor {
    /// Its name in a ggml file.
    pub name: String,
    pub class: Class,
    /// Its sizes, slowest first.
    pub sizes: Vec<u32>,
    /// The CTranslate2 variable that holds it.
    pub variable: String,
    /// Which part of the variable it is, of how many equal ones: query, key and value are stacked there.
    pub part: (u32, u32),
}

impl Tensor {
    /// Number of values. A shape that passes its check keeps this below 2^27.
    pub fn values(&self) -> u64 {
        self.sizes.iter().map(|size| u64::from(*size)).product()
    }
}

/// Every tensor of a model of this shape, in the order of a ggml file.
pub fn layout(shape: &Shape) -> Vec<Tensor> {
    let width = shape.text_width;
    let mut list = List {
        tensors: Vec::new(),
        width,
    };
    let positions = "position_encodings/encodings";
    list.push(
        "decoder.positional_embedding",
        Class::Full,
        [shape.text_length, width],
        &format!("decoder/{positions}"),
        WHOLE,
    );
    list.push(
        "encoder.positional_embedding",
        Class::Full,
        [shape.audio_frames, width],
        &format!("encoder/{positions}"),
        WHOLE,
    );
    list.push(
        "decoder.token_embedding.weight",
        Class::Matrix,
        [shape.tokens, width],
        "decoder/embeddings/weight",
        WHOLE,
    );
    for layer in 0..shape.text_layers {
        list.block("decoder", layer, true);
    }
    list.norm("decoder.ln", "decoder/layer_norm");
    for (conv, inputs) in [("conv1", shape.mels), ("conv2", width)] {
        let (name, variable) = (format!("encoder.{conv}"), format!("encoder/{conv}"));
        list.push(
            &format!("{name}.weight"),
            Class::Filter,
            [width, inputs, 3],
            &format!("{variable}/weight"),
            WHOLE,
        );
        list.push(
            &format!("{name}.bias"),
            Class::Full,
            [width, 1],
            &format!("{variable}/bias"),
            WHOLE,
        );
    }
    for layer in 0..shape.audio_layers {
        list.block("encoder", layer, false);
    }
    list.norm("encoder.ln_post", "encoder/layer_norm");
    list.tensors
}

const WHOLE: (u32, u32) = (0, 1);

struct List {
    tensors: Vec<Tensor>,
    width: u32,
}

impl List {
    fn push<const N: usize>(
        &mut self,
        name: &str,
        class: Class,
        sizes: [u32; N],
        variable: &str,
        part: (u32, u32),
    ) {
        let (name, sizes, variable) = (name.to_string(), sizes.to_vec(), variable.to_string());
        self.tensors.push(Tensor {
            name,
            class,
            sizes,
            variable,
            part,
        });
    }

    fn norm(&mut self, name: &str, variable: &str) {
        self.push(
            &format!("{name}.weight"),
            Class::Full,
            [self.width],
            &format!("{variable}/gamma"),
            WHOLE,
        );
        self.push(
            &format!("{name}.bias"),
            Class::Full,
            [self.width],
            &format!("{variable}/beta"),
            WHOLE,
        );
    }

    fn weight(&mut self, name: &str, sizes: [u32; 2], variable: &str, part: (u32, u32)) {
        self.push(
            &format!("{name}.weight"),
            Class::Matrix,
            sizes,
            &format!("{variable}/weight"),
            part,
        );
    }

    fn linear(&mut self, name: &str, sizes: [u32; 2], variable: &str, part: (u32, u32)) {
        self.weight(name, sizes, variable, part);
        self.push(
            &format!("{name}.bias"),
            Class::Full,
            [sizes[0]],
            &format!("{variable}/bias"),
            part,
        );
    }

    fn block(&mut self, half: &str, layer: u32, cross_attention: bool) {
        let (width, hidden) = (self.width, 4 * self.width);
        let square = [width, width];
        let (name, variable) = (format!("{half}.blocks.{layer}"), format!("{half}/layer_{layer}"));
        self.norm(&format!("{name}.mlp_ln"), &format!("{variable}/ffn/layer_norm"));
        self.linear(
            &format!("{name}.mlp.0"),
            [hidden, width],
            &format!("{variable}/ffn/linear_0"),
            WHOLE,
        );
        self.linear(
            &format!("{name}.mlp.2"),
            [width, hidden],
            &format!("{variable}/ffn/linear_1"),
            WHOLE,
        );
        // A key has no bias in a Whisper model; CTranslate2 stacks zeros for it, which are left behind.
        let own = format!("{variable}/self_attention");
        self.norm(&format!("{name}.attn_ln"), &format!("{own}/layer_norm"));
        self.linear(
            &format!("{name}.attn.query"),
            square,
            &format!("{own}/linear_0"),
            (0, 3),
        );
        self.weight(
            &format!("{name}.attn.key"),
            square,
            &format!("{own}/linear_0"),
            (1, 3),
        );
        self.linear(
            &format!("{name}.attn.value"),
            square,
            &format!("{own}/linear_0"),
            (2, 3),
        );
        self.linear(
            &format!("{name}.attn.out"),
            square,
            &format!("{own}/linear_1"),
            WHOLE,
        );
        if cross_attention {
            let cross = format!("{variable}/attention");
            self.norm(&format!("{name}.cross_attn_ln"), &format!("{cross}/layer_norm"));
            self.linear(
                &format!("{name}.cross_attn.query"),
                square,
                &format!("{cross}/linear_0"),
                WHOLE,
            );
            self.weight(
                &format!("{name}.cross_attn.key"),
                square,
                &format!("{cross}/linear_1"),
                (0, 2),
            );
            self.linear(
                &format!("{name}.cross_attn.value"),
                square,
                &format!("{cross}/linear_1"),
                (1, 2),
            );
            self.linear(
                &format!("{name}.cross_attn.out"),
                square,
                &format!("{cross}/linear_2"),
                WHOLE,
            );
        }
    }
}

//! A wording as a grammar file writes it: words, or words with a weight.

use std::fmt;
use std::ops::Range;

use serde::de::value::MapAccessDeserializer;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use toml::Spanned;

/// Words with their place in the file, for error messages.
pub type Text = Spanned<String>;

/// `"hip"`, or `{ say = "hip", weight = -1 }`.
#[derive(Clone, Debug)]
pub struct Wording {
    pub text: Text,
    /// In nats, as it was written: whether it is within the bounds is checked where the file is known.
    pub weight: Option<Spanned<f64>>,
}

impl Wording {
    /// One that is written as a table.
    pub fn weighted<'de, A: MapAccess<'de>>(map: A) -> Result<Wording, A::Error> {
        let Weighted { say, weight } = Weighted::deserialize(MapAccessDeserializer::new(map))?;
        Ok(Wording {
            text: say,
            weight: Some(weight),
        })
    }

    /// Where it stands in the file.
    pub fn span(&self) -> Range<usize> {
        self.text.span()
    }
}

impl AsRef<String> for Wording {
    fn as_ref(&self) -> &String {
        self.text.as_ref()
    }
}

/// What may be written.
enum Form {
    Words(String),
    Weighted(Wording),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Weighted {
    say: Text,
    weight: Spanned<f64>,
}

impl<'de> Deserialize<'de> for Wording {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Wording, D::Error> {
        let form = Spanned::<Form>::deserialize(deserializer)?;
        let span = form.span();
        Ok(match form.into_inner() {
            Form::Words(words) => Wording {
                text: Spanned::new(span, words),
                weight: None,
            },
            Form::Weighted(wording) => wording,
        })
    }
}

impl<'de> Deserialize<'de> for Form {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Form, D::Error> {
        deserializer.deserialize_any(Either)
    }
}

struct Either;

impl<'de> Visitor<'de> for Either {
    type Value = Form;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("words in quotation marks, or { say = \"…\", weight = … }")
    }

    fn visit_str<E>(self, text: &str) -> Result<Form, E> {
        Ok(Form::Words(text.to_string()))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Form, A::Error> {
        Wording::weighted(map).map(Form::Weighted)
    }
}

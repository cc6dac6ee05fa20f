//! The letters that are embedded: Noto Sans, with Latin, Greek and Cyrillic.

use harfrust::{FontRef, ShaperData, UnicodeBuffer, script};
use krilla::text::{Font, GlyphId, KrillaGlyph};

use super::Error;
use crate::review::document::Style;

/// The faces, one for each [`Style`].
pub struct Fonts([Face; 3]);

/// A face of the font.
pub struct Face {
    /// As it is embedded.
    pub font: Font,
    file: FontRef<'static>,
    shaper: ShaperData,
    /// Stands for letters that the font does not have.
    stand_in: GlyphId,
}

impl Fonts {
    /// # Errors
    /// If the files carried with the program are damaged.
    pub fn carried() -> Result<Fonts, Error> {
        let [plain, strong, emphasis] =
            [notosans::REGULAR_TTF, notosans::BOLD_TTF, notosans::ITALIC_TTF].map(Face::of);
        Ok(Fonts([plain?, strong?, emphasis?]))
    }

    /// The face of a style.
    pub fn face(&self, style: Style) -> &Face {
        &self.0[match style {
            Style::Plain => 0,
            Style::Strong => 1,
            Style::Emphasis => 2,
        }]
    }
}

impl Face {
    fn of(file: &'static [u8]) -> Result<Face, Error> {
        let font = Font::new(file.into(), 0).ok_or(Error::Font)?;
        let file = FontRef::new(file).map_err(|_| Error::Font)?;
        let shaper = ShaperData::new(&file);
        let mut face = Face {
            font,
            file,
            shaper,
            stand_in: GlyphId::new(0),
        };
        // A white square, or else the replacement character.
        let stand_in = ["\u{25a1}", "\u{fffd}", "?"]
            .into_iter()
            .flat_map(|text| face.shape(text));
        let glyph = stand_in
            .map(|glyph| glyph.glyph_id)
            .find(|glyph| glyph.to_u32() != 0);
        face.stand_in = glyph.ok_or(Error::Font)?;
        Ok(face)
    }

    /// The glyphs of a text from left to right, measured in ems; each knows the bytes that it stands for.
    pub fn shape(&self, text: &str) -> Vec<KrillaGlyph> {
        let shaper = self.shaper.shaper(&self.file).build();
        let em = shaper.units_per_em() as f32;
        let mut glyphs: Vec<KrillaGlyph> = Vec::with_capacity(text.len());
        for (from, part, script) in parts(text) {
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(part);
            buffer.set_script(script);
            // Scripts that run the other way are not in the font.
            buffer.set_direction(harfrust::Direction::LeftToRight);
            let shaped = shaper.shape(buffer, &[]);
            let starts: Vec<usize> = shaped
                .glyph_infos()
                .iter()
                .map(|info| info.cluster as usize)
                .collect();
            for (place, position) in shaped.glyph_positions().iter().enumerate() {
                let start = starts[place];
                let end = starts[place..]
                    .iter()
                    .find(|next| **next > start)
                    .map_or(part.len(), |next| *next);
                let glyph = match shaped.glyph_infos()[place].glyph_id {
                    0 => self.stand_in,
                    known => GlyphId::new(known),
                };
                let [advance, right, up] =
                    [position.x_advance, position.x_offset, position.y_offset].map(|units| units as f32 / em);
                glyphs.push(KrillaGlyph::new(
                    glyph,
                    advance,
                    right,
                    up,
                    0.0,
                    from + start..from + end,
                    None,
                ));
            }
        }
        glyphs
    }

    /// Whether the font has this letter.
    pub fn has(&self, letter: char) -> bool {
        let stand_in = self.stand_in;
        let mut glyphs = self.shape(letter.encode_utf8(&mut [0; 4])).into_iter();
        glyphs.all(|glyph| glyph.glyph_id != stand_in) || letter == '\u{25a1}'
    }
}

/// Pieces of one script, with where they begin: marks are placed by the rules of their script. What all scripts share
/// goes with what stands before.
fn parts(text: &str) -> Vec<(usize, &str, harfrust::Script)> {
    let mut parts: Vec<(usize, harfrust::Script)> = Vec::new();
    let mut current = None;
    for (place, letter) in text.char_indices() {
        let own = script_of(letter);
        if place == 0 || own.is_some() && current.is_some() && own != current {
            parts.push((place, own.unwrap_or(script::LATIN)));
        } else if let (Some(own), None, Some(part)) = (own, current, parts.last_mut()) {
            part.1 = own;
        }
        current = own.or(current);
    }
    let ends: Vec<usize> = parts
        .iter()
        .skip(1)
        .map(|part| part.0)
        .chain([text.len()])
        .collect();
    let pieces = parts.into_iter().zip(ends);
    pieces
        .map(|((from, script), end)| (from, &text[from..end], script))
        .collect()
}

fn script_of(letter: char) -> Option<harfrust::Script> {
    match letter {
        '\u{370}'..='\u{3ff}' | '\u{1f00}'..='\u{1fff}' => Some(script::GREEK),
        '\u{400}'..='\u{52f}' | '\u{1c80}'..='\u{1c8f}' | '\u{a640}'..='\u{a69f}' => Some(script::CYRILLIC),
        _ => letter.is_alphabetic().then_some(script::LATIN),
    }
}

//! Text → lines that fit.

use krilla::text::KrillaGlyph;
use unicode_linebreak::linebreaks;

use super::font::Fonts;
use crate::review::document::{Run, Style};

/// A line as it is printed.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// Its pieces, each in one face.
    pub pieces: Vec<Piece>,
    /// How wide it is without the space at its end, in ems.
    pub width: f32,
}

/// Text in one face, with where it begins in the line, in ems.
#[derive(Clone, Debug)]
pub struct Piece {
    pub style: Style,
    pub text: String,
    pub glyphs: Vec<KrillaGlyph>,
    pub x: f32,
}

/// A paragraph that is shaped but not broken yet.
pub struct Shaped {
    text: String,
    glyphs: Vec<(Style, KrillaGlyph)>,
    words: Vec<Word>,
}

/// What a line may end after: places of glyphs, and widths with and without the space at the end.
struct Word {
    from: usize,
    to: usize,
    width: f32,
    seen: f32,
}

impl Shaped {
    pub fn new(fonts: &Fonts, runs: &[Run]) -> Shaped {
        let text: String = runs.iter().map(|run| run.text.as_str()).collect();
        let mut glyphs = Vec::with_capacity(text.len());
        let mut from = 0;
        for run in runs {
            glyphs.extend(
                fonts
                    .face(run.style)
                    .shape(&run.text)
                    .into_iter()
                    .map(|mut glyph| {
                        glyph.text_range = glyph.text_range.start + from..glyph.text_range.end + from;
                        (run.style, glyph)
                    }),
            );
            from += run.text.len();
        }
        let mut shaped = Shaped {
            text,
            glyphs,
            words: Vec::new(),
        };
        let mut from = 0;
        for (end, _) in linebreaks(&shaped.text) {
            let within = |place: &usize| shaped.glyphs[*place].1.text_range.start < end;
            let to = (from..shaped.glyphs.len())
                .take_while(within)
                .last()
                .map_or(from, |last| last + 1);
            if to > from {
                shaped.words.push(shaped.word(from, to));
                from = to;
            }
        }
        shaped
    }

    /// How wide the widest word is, and all of it on one line, in ems.
    pub fn widths(&self) -> (f32, f32) {
        let widest = self.words.iter().map(|word| word.seen).fold(0.0, f32::max);
        let last = self.words.last().map_or(0.0, |last| last.width - last.seen);
        (
            widest,
            self.words.iter().map(|word| word.width).sum::<f32>() - last,
        )
    }

    /// Lines of at most so many ems. What does not fit by itself is broken between letters.
    pub fn lines(&self, room: f32) -> Vec<Line> {
        let mut ends: Vec<(usize, usize)> = Vec::new();
        let (mut start, mut width) = (0, 0.0);
        for word in &self.words {
            if width + word.seen > room && width > 0.0 {
                ends.push((start, word.from));
                (start, width) = (word.from, 0.0);
            }
            if word.seen <= room {
                width += word.width;
                continue;
            }
            for letter in self.letters(word) {
                if width + letter.seen > room && width > 0.0 {
                    ends.push((start, letter.from));
                    (start, width) = (letter.from, 0.0);
                }
                width += letter.width;
            }
        }
        ends.extend((start < self.glyphs.len()).then_some((start, self.glyphs.len())));
        ends.into_iter().map(|(from, to)| self.line(from, to)).collect()
    }

    fn word(&self, from: usize, to: usize) -> Word {
        let advance = |place: usize| self.glyphs[place].1.x_advance;
        let width: f32 = (from..to).map(advance).sum();
        let space = |place: &usize| self.text[self.glyphs[*place].1.text_range.clone()].trim() == "";
        let spaces: f32 = (from..to).rev().take_while(space).map(advance).sum();
        Word {
            from,
            to,
            width,
            seen: width - spaces,
        }
    }

    /// The letters of a word, each with its marks.
    fn letters<'a>(&'a self, word: &Word) -> impl Iterator<Item = Word> + use<'a> {
        let start = |place: usize| self.glyphs[place].1.text_range.start;
        let (mut from, to) = (word.from, word.to);
        std::iter::from_fn(move || {
            let end = (from..to)
                .find(|place| start(*place) != start(from))
                .unwrap_or(to);
            let letter = (from < to).then(|| self.word(from, end));
            from = end;
            letter
        })
    }

    fn line(&self, from: usize, to: usize) -> Line {
        let mut x = 0.0;
        let pieces = self.glyphs[from..to]
            .chunk_by(|(one, _), (next, _)| one == next)
            .map(|part| {
                let (style, first) = &part[0];
                let start = first.text_range.start;
                let end = part.last().map_or(start, |(_, last)| last.text_range.end);
                let glyphs = part.iter().map(|(_, glyph)| {
                    let mut glyph = glyph.clone();
                    glyph.text_range = glyph.text_range.start - start..glyph.text_range.end - start;
                    glyph
                });
                let glyphs: Vec<KrillaGlyph> = glyphs.collect();
                let piece = Piece {
                    style: *style,
                    text: self.text[start..end].to_owned(),
                    glyphs,
                    x,
                };
                x += piece.glyphs.iter().map(|glyph| glyph.x_advance).sum::<f32>();
                piece
            });
        Line {
            pieces: pieces.collect(),
            width: self.word(from, to).seen,
        }
    }
}

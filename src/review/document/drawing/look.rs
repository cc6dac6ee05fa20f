//! What the things in a drawing look like on paper, by the classes that the page's style sheet colours them by.

/// Red, green, blue.
pub type Colour = [u8; 3];

const INK: Colour = [0, 0, 0];
const SOFT: Colour = [68, 68, 68];
const GREY: Colour = [120, 120, 120];
const PALE: Colour = [205, 205, 205];
const PAPER: Colour = [255, 255, 255];
/// Of the left side; filled.
const FILLED: Colour = [20, 80, 107];
/// Of the right side; hollow, so that it is told apart without colour.
const HOLLOW: Colour = [154, 74, 18];
const USUAL: Colour = [225, 234, 219];

/// Colours, widths and sizes in units of the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Look {
    /// The colour of the area or the letters.
    pub fill: Option<Colour>,
    /// The colour of the line.
    pub stroke: Option<Colour>,
    /// How wide the line is.
    pub width: f64,
    /// How long its dashes and the gaps between them are.
    pub dash: Option<[f64; 2]>,
    /// How large letters are; 0 for what is no text.
    pub size: f64,
    /// Whether letters are bold.
    pub bold: bool,
    /// Whether letters have white around them, to be read on top of lines.
    pub halo: bool,
}

impl Look {
    /// By the classes of an element, and whether it is a detail of another drawing. Nothing if they are not known.
    pub(super) fn of(classes: &str, detail: bool) -> Option<Look> {
        let mut classes = classes.split_ascii_whitespace();
        let class = classes.next()?;
        let hollow = classes.any(|class| class == "right");
        let line = |stroke, width| Look {
            stroke: Some(stroke),
            width,
            ..Look::default()
        };
        let area = |fill| Look {
            fill: Some(fill),
            ..Look::default()
        };
        let text = |fill, size| Look { size, ..area(fill) };
        let outlined = Look {
            fill: Some(PAPER),
            ..line(HOLLOW, 2.5)
        };
        Some(match class {
            "outline" if detail => line(GREY, 0.8),
            "outline" => line(SOFT, 1.3),
            "grid" => line(PALE, 1.0),
            "zero" => line(GREY, 1.5),
            "usual" => Look {
                fill: Some(USUAL),
                dash: Some([2.0, 3.0]),
                ..line(GREY, 1.0)
            },
            "bar" | "point" if hollow => outlined,
            "bar" | "point" => area(FILLED),
            "line" if hollow => Look {
                dash: Some([8.0, 5.0]),
                ..line(HOLLOW, 3.0)
            },
            "line" => line(FILLED, 3.0),
            "whisker" if hollow => Look {
                dash: Some([4.0, 3.0]),
                ..line(HOLLOW, 1.5)
            },
            "whisker" => line(FILLED, 1.5),
            "spot" => Look {
                stroke: Some(PAPER),
                width: 2.0,
                ..area(FILLED)
            },
            "count" => Look {
                bold: true,
                ..text(PAPER, 13.0)
            },
            "name" => Look {
                bold: true,
                ..text(INK, 13.0)
            },
            "mode" | "mark" => text(SOFT, 12.0),
            "value" => Look {
                halo: true,
                ..text(INK, 13.0)
            },
            _ => return None,
        })
    }
}

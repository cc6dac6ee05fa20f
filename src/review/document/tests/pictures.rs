//! The page's pictures. Built under `#[cfg(test)]` alone.

use regex::Regex;

use super::*;
use crate::review::document::drawing::{Error, Form};

/// The templates of all pictures.
const TEMPLATES: [&str; 3] = [
    include_str!("../../draw/bars.svg"),
    include_str!("../../draw/body.svg"),
    include_str!("../../draw/lines.svg"),
];

#[test]
fn everything_that_the_page_draws_is_known() {
    let (values, steps) = (
        Regex::new(r"\{\{[^}]*\}\}").unwrap(),
        Regex::new(r"\{%[^%]*%\}").unwrap(),
    );
    for template in TEMPLATES {
        let picture = steps.replace_all(template, "").into_owned();
        let picture = values.replace_all(&picture, "1").into_owned();
        let drawing = Drawing::from_svg(&picture).unwrap_or_else(|error| panic!("{error}: {picture}"));
        assert!(drawing.shapes.len() > 4, "{drawing:?}");
    }
}

#[test]
fn what_is_drawn_is_kept_and_what_leads_into_the_page_is_not() {
    let drawing = Drawing::from_svg(PICTURE).unwrap();
    assert_eq!(
        (drawing.width, drawing.height, drawing.shapes.len()),
        (200.0, 60.0, 4)
    );
    let words: Vec<&str> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match &shape.form {
            Form::Text { text, .. } => Some(text.as_str()),
            Form::Path(_) => None,
        })
        .collect();
    assert_eq!(words, ["R 81°"]);
}

#[test]
fn what_is_not_known_is_refused() {
    let refused = |from: &str, to: &str| Drawing::from_svg(&PICTURE.replace(from, to)).unwrap_err();
    assert_eq!(refused("<svg", "<div"), Error::Xml);
    assert_eq!(refused("viewBox=\"0 0 200 60\"", ""), Error::Size);
    assert_eq!(refused("0 0 200 60", "0 0 0 60"), Error::Size);
    assert_eq!(
        refused("<line class", "<ellipse class").to_string(),
        "the picture holds something unknown: element \"ellipse\""
    );
    for (from, to) in [
        ("bar right", "blob"),
        ("r=\"9\"", "transform=\"scale(2)\""),
        ("80.5", "NaN"),
        ("80.5", "5em"),
    ] {
        assert!(matches!(refused(from, to), Error::Unknown(_)), "{to}");
    }
}

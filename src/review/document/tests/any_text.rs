//! Any text at all. Built under `#[cfg(test)]` alone.

use proptest::prelude::*;

use super::escaping::{MARKUP, all_over};
use super::read_back::{of_html, of_markdown, said};
use super::*;

fn text() -> impl Strategy<Value = String> {
    let markup = proptest::sample::select(MARKUP.to_vec()).prop_map(str::to_owned);
    let part = prop_oneof![
        any::<String>(),
        "[ -~\t\r\n]{0,30}",
        "[a-c ]{0,3}[*_`~<>|\\\\#+\\-=.0-9 \n]{0,8}",
        "[\u{300}-\u{303}\u{370}-\u{52f}\u{590}-\u{5f0}\u{600}-\u{606}\u{2000}-\u{206f}\u{fff0}-\u{ffff}]{0,8}",
        markup,
    ];
    proptest::collection::vec(part, 0..4).prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    #[test]
    fn every_text_is_read_back(text in text()) {
        let document = all_over(&text);
        prop_assert_eq!(of_markdown(&markdown::write(&document)), said(&document, true));
        prop_assert_eq!(of_html(&html::write(&document)), said(&document, false));
    }

    #[test]
    fn every_text_can_be_printed(text in text(), times in 1_usize..40) {
        pdf::write(&all_over(&text.repeat(times))).unwrap();
    }

    #[test]
    fn tables_of_every_size_can_be_printed(
        columns in 0_usize..24,
        rows in 0_usize..40,
        cells in proptest::collection::vec(text(), 1..9),
        words in 1_usize..300,
    ) {
        let cell = |place: usize| cells[place % cells.len()].repeat(if place == 11 { words } else { 1 });
        let rows = (0..rows).map(|row| (0..columns).map(|column| cell(row * 7 + column)).collect());
        let columns = (0..columns).map(|column| Column::new(cell(column)));
        let table = Table { caption: cell(0), columns: columns.collect(), row_headings: true, rows: rows.collect() };
        let blocks = vec![Block::Table(table)];
        pdf::write(&Document { blocks, ..Document::default() }).unwrap();
    }
}

//! The CMU Pronouncing Dictionary: how the words of everyday English are pronounced.

use std::io::Read;
use std::sync::OnceLock;

use flate2::read::GzDecoder;

use super::Ways;
use super::phones;

/// The dictionary as published, 125,929 words; its licence lies beside it.
static PACKED: &[u8] = include_bytes!("../../../grammars/english/cmudict.dict.gz");

/// The ways to say a lower-case word; `None` if it is not in the dictionary.
pub(super) fn ways(word: &str) -> Option<Ways> {
    let lines = lines();
    let first = lines.partition_point(|line| base(line) < word);
    let ways: Ways = lines[first..]
        .iter()
        .take_while(|line| base(line) == word)
        .filter_map(|line| phones::parse(line.split_once(' ')?.1).ok())
        .collect();
    (!ways.is_empty()).then_some(ways)
}

/// The word of a line, without the number of a further pronunciation.
fn base(line: &str) -> &str {
    let word = line.split(' ').next().unwrap_or_default();
    word.split('(').next().unwrap_or_default()
}

/// The dictionary's lines, comments cut off, sorted by word. Unpacked at first use.
fn lines() -> &'static [&'static str] {
    static TEXT: OnceLock<String> = OnceLock::new();
    static LINES: OnceLock<Vec<&str>> = OnceLock::new();
    LINES.get_or_init(|| {
        let text = TEXT.get_or_init(|| {
            let mut text = String::new();
            // The file is part of the program, and a test reads all of it: it cannot be damaged.
            GzDecoder::new(PACKED)
                .read_to_string(&mut text)
                .unwrap_or_default();
            text
        });
        let mut lines: Vec<&str> = text
            .lines()
            .map(|line| line.split(" #").next().unwrap_or_default())
            .filter(|line| !line.is_empty())
            .collect();
        // Further pronunciations stay behind the first.
        lines.sort_by_key(|line| base(line));
        lines
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_whole_dictionary_can_be_read() {
        let mut words: Vec<&str> = lines().iter().map(|line| base(line)).collect();
        words.dedup();
        assert_eq!(words.len(), 125_929);
        for word in words {
            assert!(ways(word).is_some(), "{word}");
        }
    }

    #[test]
    fn a_word_may_be_said_in_several_ways() {
        assert_eq!(ways("read").map(|ways| ways.len()), Some(2));
        assert_eq!(ways("reed").map(|ways| ways.len()), Some(1));
        assert_eq!(ways("xqzt"), None);
        assert_eq!(ways(""), None);
    }
}

//! Words as they are read on a page: capitals where a name has them, and for letters that are said one by one.

/// `said` as it is written: a word in capitals as `name` writes it ("lachman's" for Lachman), letters as capitals ("A C
/// compression").
pub(super) fn shown(said: &str, name: &str) -> String {
    let names: Vec<&str> = name
        .split(|c: char| !c.is_alphanumeric() && c != '\'')
        .filter(|word| word.chars().any(char::is_uppercase))
        .map(|word| word.strip_suffix("'s").unwrap_or(word))
        .collect();
    let words: Vec<&str> = said.split(' ').collect();
    let is_letter = |word: Option<&&str>| word.is_some_and(|word| word.chars().count() == 1);
    let shown = words.iter().enumerate().map(|(at, word)| {
        let beside = is_letter(words.get(at + 1)) || (at > 0 && is_letter(words.get(at - 1)));
        // One "a" by itself is a word.
        if is_letter(Some(word)) && (*word != "a" || beside) {
            return word.to_uppercase();
        }
        let (stem, ending) = match word.strip_suffix("'s") {
            Some(stem) => (stem, "'s"),
            None => (*word, ""),
        };
        let known = names.iter().find(|name| name.to_lowercase() == stem);
        known.map_or_else(|| word.to_string(), |name| format!("{name}{ending}"))
    });
    shown.collect::<Vec<_>>().join(" ")
}

/// Another wording of the same that is worth its place: not the same with a word more or fewer, or with another ending.
pub(super) fn another<'a>(first: &str, others: &'a [String]) -> Option<&'a String> {
    let words = |said: &str| -> Vec<String> { said.split(' ').map(str::to_string).collect() };
    let of_first = words(first);
    others.iter().find(|other| {
        let of_other = words(other);
        let holds = |whole: &[String], part: &[String]| part.iter().all(|word| whole.contains(word));
        !(holds(&of_other, &of_first)
            || holds(&of_first, &of_other)
            || first.starts_with(other.as_str())
            || other.ends_with(first))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_letters_have_capitals() {
        assert_eq!(shown("lachman's", "Lachman"), "Lachman's");
        assert_eq!(shown("ober", "Ober's test"), "Ober");
        assert_eq!(shown("mcmurray", "McMurray"), "McMurray");
        assert_eq!(shown("o'brien", "O'Brien active compression"), "O'Brien");
        assert_eq!(shown("a c compression", "AC compression"), "A C compression");
        assert_eq!(shown("a half", "half"), "a half");
        assert_eq!(shown("u l t t", "ULTT"), "U L T T");
    }

    #[test]
    fn another_wording_says_something_else() {
        let all = |words: &[&str]| words.iter().map(|word| word.to_string()).collect::<Vec<_>>();
        let others = all(&["flex", "the flexion", "hyperflexion", "bend"]);
        assert_eq!(another("flexion", &others).map(String::as_str), Some("bend"));
        assert_eq!(another("scaption", &all(&[])), None);
    }
}

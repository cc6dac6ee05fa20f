//! Words that a therapist's model is known to write for others.

/// Misheard words and the grammar's words that they stand for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Aliases(Vec<(Vec<String>, Vec<String>)>);

impl Aliases {
    /// From pairs of misheard words and those that they stand for, as the grammar spells words.
    pub fn new(pairs: impl IntoIterator<Item = (Vec<String>, Vec<String>)>) -> Aliases {
        Aliases(pairs.into_iter().filter(|(heard, _)| !heard.is_empty()).collect())
    }

    /// The words with every misheard stretch put right; `None` if there is none.
    pub fn put_right(&self, words: &[String]) -> Option<Vec<String>> {
        let (mut put_right, mut at, mut any) = (Vec::new(), 0, false);
        while at < words.len() {
            let known = self.0.iter().filter(|(heard, _)| words[at..].starts_with(heard));
            match known.max_by_key(|(heard, _)| heard.len()) {
                Some((heard, means)) => {
                    put_right.extend(means.iter().cloned());
                    at += heard.len();
                    any = true;
                }
                None => {
                    put_right.push(words[at].clone());
                    at += 1;
                }
            }
        }
        any.then_some(put_right)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn misheard_words_are_put_right_wherever_they_stand() {
        let words = |text: &str| text.split(' ').map(str::to_string).collect::<Vec<_>>();
        let aliases = Aliases::new([
            (words("a doctor"), words("adductor")),
            (words("a doctor long is"), words("adductor longus")),
        ]);
        for (heard, expected) in [
            (
                "left a doctor long is tender",
                Some("left adductor longus tender"),
            ),
            ("a doctor squeeze a doctor", Some("adductor squeeze adductor")),
            ("the doctor long is", None),
        ] {
            assert_eq!(aliases.put_right(&words(heard)), expected.map(words), "{heard}");
        }
        assert_eq!(Aliases::default().put_right(&words("a doctor")), None);
    }
}

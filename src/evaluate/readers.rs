//! What each reader brings: how often its first choice is right, whatever is then taken, asked or refused.

use serde::Serialize;

use super::evidence::Evidence;
use super::judged::Class;
use super::tally::Share;

/// Of dictation that is one utterance and was heard as one.
#[derive(Clone, Debug, Serialize)]
pub struct Readers {
    /// The free transcript, read as text.
    pub free: Share,
    /// The sentence of the grammar that sounds most like it.
    pub by_sound: Share,
    /// The best sentence that the search over the model's scores found.
    pub by_score: Share,
    /// The best of all, as the program takes it.
    pub both: Share,
}

/// `None` if there is no such utterance.
pub(super) fn readers(evidence: &[Evidence]) -> Option<Readers> {
    let dictated = || evidence.iter().filter(|one| one.class == Class::Dictation);
    let all = dictated().count();
    let share = |right: fn(&Evidence) -> bool| Share::new(dictated().filter(|one| right(one)).count(), all);
    (all > 0).then(|| Readers {
        free: share(|one| one.free_right),
        by_sound: share(|one| one.nearest_right),
        by_score: share(|one| {
            let mut found = one.candidates.iter().filter(|sentence| !sentence.proposed);
            found.next().is_some_and(|sentence| sentence.right)
        }),
        both: share(|one| one.candidates.first().is_some_and(|sentence| sentence.right)),
    })
}

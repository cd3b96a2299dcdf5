//! The nearest right word.

/// A word longer than this is no slip of the hand, and would take long to compare.
const LONGEST: usize = 80;

/// The candidate that is most like `word`, if one is like enough that a slip of the hand would
/// explain the difference (at most a third of the letters changed, or one is the other's
/// beginning).
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.len() > LONGEST {
        return None;
    }
    let word = word.trim().to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (distance(&word, &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| {
            *distance <= (candidate.chars().count().max(word.chars().count())).div_ceil(3)
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Letters to change, a swap counting as one; a word cut short counts as one.
fn distance(word: &str, candidate: &str) -> usize {
    let begins = word.len() >= 3 && candidate.starts_with(word);
    if begins { 1 } else { strsim::damerau_levenshtein(word, candidate) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_mended_and_strangers_are_not() {
        let known = ["shells", "guide-tones", "rootless", "walking"];
        assert_eq!(nearest("shels", known), Some("shells"));
        assert_eq!(nearest("rootles", known), Some("rootless"));
        assert_eq!(nearest("Wakling", known), Some("walking"));
        assert_eq!(nearest("guide", known), Some("guide-tones"));
        assert_eq!(nearest("trombone", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest(&"walking".repeat(1_000_000), known), None);
    }
}

//! Ways through the keys.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::theory::{Key, Mode};

/// The order of the keys in [`Shape::RoundTheKeys`](super::Shape::RoundTheKeys).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum KeyOrder {
    /// All twelve, each a fourth above the one before: C F Bb …
    Fourths,
    /// All twelve, each a half step above the one before: C Db D …
    Semitones,
    /// All twelve in two sets of six, each a whole step below the one before, the second set
    /// from a half step above the first: C Bb Ab Gb E D, Db B A G F Eb. (Whole steps alone reach
    /// six keys only.)
    #[serde(rename = "whole steps")]
    WholeSteps,
    /// These.
    #[serde(skip)]
    List(Vec<Key>),
}

impl KeyOrder {
    /// The keys in order, beginning with `home` (in a list: with the list's first).
    #[must_use]
    pub fn keys(&self, home: Key) -> Vec<Key> {
        let steps: Vec<i32> = match self {
            KeyOrder::Fourths => (0..12).map(|step| 5 * step).collect(),
            KeyOrder::Semitones => (0..12).collect(),
            KeyOrder::WholeSteps => {
                let set = |from| (0..6).map(move |step: i32| from - 2 * step);
                set(0).chain(set(1)).collect()
            }
            KeyOrder::List(keys) => return in_mode(keys, home.mode),
        };
        // The first stays spelled as it is written.
        let others = steps.iter().skip(1).map(|&semitones| home.transposed(semitones));
        std::iter::once(home).chain(others).collect()
    }
}

/// Keys by their tonics, each once: a tune keeps its mode. One that has too many signs in this mode is
/// spelled as the trade spells it.
fn in_mode(keys: &[Key], mode: Mode) -> Vec<Key> {
    let mut all: Vec<Key> = Vec::new();
    for key in keys {
        let same_tonic = Key { mode, ..*key };
        let usual = Key::usual(key.tonic.pitch_class(), mode);
        let key = if same_tonic.signature().abs() <= 7 { same_tonic } else { usual };
        if !all.contains(&key) {
            all.push(key);
        }
    }
    all
}

impl KeyOrder {
    /// What to say of a list that names keys of the other mode than a tune's, which is written in
    /// `home`: which keys it is in.
    #[must_use]
    pub fn of_other_mode(&self, name: &str, home: Key) -> Option<String> {
        let KeyOrder::List(keys) = self else { return None };
        let others: Vec<Key> = keys.iter().copied().filter(|key| key.mode != home.mode).collect();
        if others.is_empty() {
            return None;
        }
        let list = |keys: &[Key]| keys.iter().map(Key::to_string).collect::<Vec<_>>().join(", ");
        Some(format!(
            "{name} keeps its mode: asked for in {}, it is in {}",
            list(&others),
            list(&in_mode(&others, home.mode))
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(order: &KeyOrder, home: &str) -> String {
        let keys = order.keys(home.parse().unwrap());
        keys.iter().map(Key::to_string).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn all_twelve_keys_come_once() {
        assert_eq!(names(&KeyOrder::Fourths, "C"), "C F Bb Eb Ab Db Gb B E A D G");
        assert_eq!(names(&KeyOrder::WholeSteps, "C"), "C Bb Ab Gb E D Db B A G F Eb");
        assert!(names(&KeyOrder::Semitones, "Gm").starts_with("Gm G#m Am Bbm Bm Cm C#m Dm"));
    }
}

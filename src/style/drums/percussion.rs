//! What can be struck, by the names that styles write.

use schemars::JsonSchema;
use serde::de::Error;
use serde::{Deserialize, Serialize};

/// The percussion of General MIDI level 1 (channel 10), in the standard's own words, written
/// small and with hyphens.
const GENERAL_MIDI: [(&str, u8); 47] = [
    ("acoustic-bass-drum", 35),
    ("bass-drum-1", 36),
    ("side-stick", 37),
    ("acoustic-snare", 38),
    ("hand-clap", 39),
    ("electric-snare", 40),
    ("low-floor-tom", 41),
    ("closed-hi-hat", 42),
    ("high-floor-tom", 43),
    ("pedal-hi-hat", 44),
    ("low-tom", 45),
    ("open-hi-hat", 46),
    ("low-mid-tom", 47),
    ("hi-mid-tom", 48),
    ("crash-cymbal-1", 49),
    ("high-tom", 50),
    ("ride-cymbal-1", 51),
    ("chinese-cymbal", 52),
    ("ride-bell", 53),
    ("tambourine", 54),
    ("splash-cymbal", 55),
    ("cowbell", 56),
    ("crash-cymbal-2", 57),
    ("vibraslap", 58),
    ("ride-cymbal-2", 59),
    ("hi-bongo", 60),
    ("low-bongo", 61),
    ("mute-hi-conga", 62),
    ("open-hi-conga", 63),
    ("low-conga", 64),
    ("high-timbale", 65),
    ("low-timbale", 66),
    ("high-agogo", 67),
    ("low-agogo", 68),
    ("cabasa", 69),
    ("maracas", 70),
    ("short-whistle", 71),
    ("long-whistle", 72),
    ("short-guiro", 73),
    ("long-guiro", 74),
    ("claves", 75),
    ("hi-wood-block", 76),
    ("low-wood-block", 77),
    ("mute-cuica", 78),
    ("open-cuica", 79),
    ("mute-triangle", 80),
    ("open-triangle", 81),
];

/// What the brush kit (General MIDI 2, program 40; from memory) has in place of a snare drum.
const BRUSHES: [(&str, u8); 3] = [("brush-tap", 38), ("brush-slap", 39), ("brush-swirl", 40)];

/// A drum kit: the program of the percussion channel.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Kit {
    /// Played with sticks.
    #[default]
    Sticks,
    /// Played with brushes.
    Brushes,
}

impl Kit {
    /// The program of the percussion channel, counted from 0.
    #[must_use]
    pub const fn program(self) -> u8 {
        match self {
            Kit::Sticks => 0,
            Kit::Brushes => 40,
        }
    }
}

/// Something to strike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Percussion {
    name: &'static str,
    key: u8,
}

impl Percussion {
    /// The percussion of a name, such as `ride-cymbal-1`.
    #[must_use]
    pub fn named(name: &str) -> Option<Percussion> {
        let (name, key) = Percussion::table().find(|(known, _)| *known == name)?;
        Some(Percussion { name, key })
    }

    /// All names with their keys.
    fn table() -> impl Iterator<Item = (&'static str, u8)> {
        GENERAL_MIDI.into_iter().chain(BRUSHES)
    }

    /// All names, as styles write them.
    #[must_use]
    pub fn names() -> Vec<&'static str> {
        Percussion::table().map(|(name, _)| name).collect()
    }

    /// Its name, as styles write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.name
    }

    /// Its key on the percussion channel.
    #[must_use]
    pub const fn key(self) -> u8 {
        self.key
    }

    /// Is it part of this kit? On the brush kit three keys are other things than on the rest.
    #[must_use]
    pub(crate) fn is_in(self, kit: Kit) -> bool {
        let brush = BRUSHES.contains(&(self.name, self.key));
        let brush_key = BRUSHES.iter().any(|(_, key)| *key == self.key);
        match kit {
            Kit::Sticks => !brush,
            Kit::Brushes => brush || !brush_key,
        }
    }
}

impl std::fmt::Display for Percussion {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

impl<'de> Deserialize<'de> for Percussion {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let name = String::deserialize(deserializer)?;
        Percussion::named(&name).ok_or_else(|| {
            let known: Vec<String> =
                Percussion::names().iter().map(|name| format!("`{name}`")).collect();
            let known = known.join(", ");
            D::Error::custom(format_args!("unknown percussion `{name}`, expected one of {known}"))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// General MIDI level 1, percussion key map (tests/facts/general_midi.tsv).
    #[test]
    fn names_and_keys_are_those_of_general_midi() {
        let facts = include_str!("../../../tests/facts/general_midi.tsv");
        let rows = facts.lines().filter(|row| row.starts_with("GM1 percussion"));
        let published: Vec<(String, u8)> = rows
            .map(|row| {
                let fields: Vec<&str> = row.split('\t').collect();
                (fields[3].to_lowercase().replace(' ', "-"), fields[2].parse().unwrap())
            })
            .collect();
        let ours = GENERAL_MIDI.map(|(name, key)| (name.to_owned(), key));
        assert_eq!(published, ours);
    }

    #[test]
    fn brushes_are_for_the_brush_kit_and_its_keys_for_nothing_else() {
        let swirl = Percussion::named("brush-swirl").unwrap();
        let snare = Percussion::named("acoustic-snare").unwrap();
        let ride = Percussion::named("ride-cymbal-1").unwrap();
        assert!(swirl.is_in(Kit::Brushes) && !swirl.is_in(Kit::Sticks));
        assert!(snare.is_in(Kit::Sticks) && !snare.is_in(Kit::Brushes));
        assert!(ride.is_in(Kit::Sticks) && ride.is_in(Kit::Brushes));
    }
}

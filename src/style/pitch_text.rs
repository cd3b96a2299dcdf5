//! Pitches with their octave, as style files write them.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::Error;

/// A MIDI note number, written as a letter, an accidental and an octave in which `C4` is 60.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, JsonSchema)]
#[schemars(inline)]
pub(super) struct PitchText(
    #[schemars(with = "String", regex(pattern = r"^[A-G][b#]?(-1|[0-9])$"))] pub(super) u8,
);

impl<'de> Deserialize<'de> for PitchText {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let number = midi_number(&text).ok_or_else(|| {
            D::Error::custom(format_args!("`{text}` is no pitch: write one such as `E1` or `Bb2`"))
        })?;
        Ok(PitchText(number))
    }
}

fn midi_number(text: &str) -> Option<u8> {
    let mut letters = text.chars();
    let natural = match letters.next()? {
        'C' => 0,
        'D' => 2,
        'E' => 4,
        'F' => 5,
        'G' => 7,
        'A' => 9,
        'B' => 11,
        _ => return None,
    };
    let rest = letters.as_str();
    let (alter, octave) = match rest.strip_prefix('b') {
        Some(octave) => (-1, octave),
        None => rest.strip_prefix('#').map_or((0, rest), |octave| (1, octave)),
    };
    let octave: i32 = octave.parse().ok().filter(|octave| (-1..=9).contains(octave))?;
    u8::try_from(natural + alter + 12 * (octave + 1)).ok().filter(|number| *number < 128)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn middle_c_is_c4() {
        for (text, number) in [("C4", 60), ("E1", 28), ("G3", 55), ("Bb2", 46), ("C-1", 0)] {
            assert_eq!(midi_number(text), Some(number), "{text}");
        }
        for text in ["", "H1", "E", "E10", "Cb-1", "e1", "E1x", "A9"] {
            assert_eq!(midi_number(text), None, "{text}");
        }
    }
}

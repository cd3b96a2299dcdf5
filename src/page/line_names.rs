//! What the notes of a line are called over their chords.

use crate::theory::{Harmony, Key, NoteName, Pitch};

/// A note's name with its octave, and its degree where it is one of the chord that sounds: the
/// chord's own spelling comes first, then the key's.
pub(super) fn spelled(pitch: u8, harmony: Option<&Harmony>, key: Key) -> (String, String) {
    let pitch_class = pitch % 12;
    let degree = harmony.and_then(|harmony| {
        let degrees = harmony.sounding_degrees();
        degrees.into_iter().find(|degree| harmony.pitch_class(*degree) == pitch_class)
    });
    let name = match (harmony, degree) {
        (Some(harmony), Some(degree)) => harmony.note(degree),
        _ => key.spell(pitch_class),
    };
    (with_octave(pitch, name), degree.map(|degree| degree.to_string()).unwrap_or_default())
}

fn with_octave(pitch: u8, name: NoteName) -> String {
    Pitch::named(pitch, name).map_or_else(|| name.to_string(), |pitch| pitch.to_string())
}

//! Several recordings of one stroke.
//!
//! The embedded SoundFont has them on keys that General MIDI leaves free. Notes and MIDI files
//! keep the General MIDI key, so that any other player is right; only the sound stage, and only
//! with the embedded SoundFont, asks for the key that sounds.

/// Program of the percussion channel (`None` for every kit), General MIDI key, its other keys.
const SPARE_KEYS: [(Option<u8>, u8, [u8; 2]); 4] = [
    (None, 51, [84, 85]),     // ride cymbal 1
    (None, 44, [86, 87]),     // pedal hi-hat
    (None, 42, [88, 89]),     // closed hi-hat
    (Some(40), 38, [90, 91]), // brush tap
];

fn spare_keys(program: u8, key: u8) -> &'static [u8] {
    SPARE_KEYS
        .iter()
        .find(|(kit, of, _)| *of == key && kit.is_none_or(|kit| kit == program))
        .map_or(&[], |(_, _, spare)| spare)
}

/// How many recordings of a stroke there are, at least 1.
#[must_use]
pub fn recordings(program: u8, key: u8) -> u8 {
    spare_keys(program, key).iter().fold(1, |count, _| count + 1)
}

/// The key of the embedded SoundFont on which a recording of a stroke lies; the key itself for
/// recording 0 and where there is no such one.
#[must_use]
pub fn sounding_key(program: u8, key: u8, variant: u8) -> u8 {
    let index = usize::from(variant).checked_sub(1);
    index.and_then(|index| spare_keys(program, key).get(index)).copied().unwrap_or(key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variants_lie_on_keys_that_general_midi_leaves_free() {
        for (_, _, keys) in SPARE_KEYS {
            assert!(keys.iter().all(|key| *key > 81), "81 is the last key of the standard");
        }
        assert_eq!([0, 1, 2, 3].map(|variant| sounding_key(0, 51, variant)), [51, 84, 85, 51]);
        assert_eq!(sounding_key(0, 38, 1), 38);
        assert_eq!(sounding_key(40, 38, 1), 90);
    }
}

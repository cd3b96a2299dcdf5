//! Several recordings of one stroke, so that no cymbal sounds the same twice in a row.
//!
//! The embedded SoundFont has them on keys that General MIDI leaves free. Notes and MIDI files
//! keep the General MIDI key, so that any other player is right; only the sound stage, and only
//! with the embedded SoundFont, asks for the key that sounds.

use crate::part::Note;
use crate::random::Stream;

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
pub(super) fn variants(program: u8, key: u8) -> u8 {
    spare_keys(program, key).iter().fold(1, |count, _| count + 1)
}

/// The key of the embedded SoundFont on which a variant of a stroke lies; the key itself for
/// variant 0 and where there is no such variant.
#[must_use]
pub fn sounding_key(program: u8, key: u8, variant: u8) -> u8 {
    let index = usize::from(variant).checked_sub(1);
    index.and_then(|index| spare_keys(program, key).get(index)).copied().unwrap_or(key)
}

/// Which recordings have just been heard.
#[derive(Debug, Clone)]
pub(super) struct Alternation {
    program: u8,
    last: [Option<u8>; 128],
}

impl Alternation {
    pub(super) const fn new(program: u8) -> Alternation {
        Alternation { program, last: [None; 128] }
    }

    /// A recording of this stroke that is not the one heard last, where there are several.
    pub(super) fn next(&mut self, key: u8, random: &mut Stream) -> u8 {
        let variants = variants(self.program, key);
        let others: Vec<u8> = match self.last.get(usize::from(key)) {
            Some(Some(last)) if variants > 1 => (0..variants).filter(|v| v != last).collect(),
            _ => (0..variants).collect(),
        };
        let chosen = others.get(random.below(others.len())).copied().unwrap_or(0);
        if let Some(last) = self.last.get_mut(usize::from(key)) {
            *last = Some(chosen);
        }
        chosen
    }
}

/// Where the last stroke of a key would be heard again as the first one of the next round, takes
/// another for the last.
pub(super) fn close_loop(notes: &mut [Note], program: u8) {
    for (key, strokes) in SPARE_KEYS.iter().map(|(_, key, _)| (*key, variants(program, *key))) {
        let of_key = |note: &&Note| note.pitch == key;
        let first = notes.iter().find(of_key).map(|note| note.variant);
        let mut from_the_end = notes.iter_mut().rev().filter(|note| note.pitch == key);
        let (Some(last), before) = (from_the_end.next(), from_the_end.next()) else { continue };
        let neighbours = [first, before.map(|note| note.variant)];
        let free = (0..strokes).find(|variant| !neighbours.contains(&Some(*variant)));
        if first == Some(last.variant)
            && neighbours[1].is_some()
            && let Some(free) = free
        {
            last.variant = free;
        }
    }
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

    #[test]
    fn no_recording_is_heard_twice_in_a_row_and_none_is_left_out() {
        let mut alternation = Alternation::new(0);
        let mut random = Stream::named(3, &[&"variants"]);
        let heard: Vec<u8> = (0..200).map(|_| alternation.next(51, &mut random)).collect();
        assert!(heard.windows(2).all(|two| two[0] != two[1]));
        assert!((0..3).all(|variant| heard.contains(&variant)));
        assert!((0..20).all(|_| alternation.next(36, &mut random) == 0));
    }
}

//! Which of several recordings a stroke is, so that no cymbal sounds the same twice in a row.

use crate::part::Note;
use crate::performance::recordings;
use crate::random::Stream;

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
        let variants = recordings(self.program, key);
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
    for (key, strokes) in (0..128).map(|key| (key, recordings(program, key))) {
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
    fn no_recording_is_heard_twice_in_a_row_and_none_is_left_out() {
        let mut alternation = Alternation::new(0);
        let mut random = Stream::named(3, &[&"variants"]);
        let heard: Vec<u8> = (0..200).map(|_| alternation.next(51, &mut random)).collect();
        assert!(heard.windows(2).all(|two| two[0] != two[1]));
        assert!((0..3).all(|variant| heard.contains(&variant)));
        assert!((0..20).all(|_| alternation.next(36, &mut random) == 0));
    }
}

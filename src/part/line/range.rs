//! In which octave a line is played in each key.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use super::Line;
use crate::arrange::{BarKind, Timeline};
use crate::part::Hand;
use crate::theory::{Key, Pitch};
use crate::units::Ticks;

/// The usual range of a right-hand line on the piano, F3 to C7, and of a left hand, E1 to A4
/// (common practice: lower, a line runs into the left hand; higher, it thins out).
const RIGHT: RangeInclusive<u8> = 53..=96;
const LEFT: RangeInclusive<u8> = 28..=69;

impl Line {
    /// The notes between which it should stay: its own range, else the hand's usual one.
    fn playable(&self) -> RangeInclusive<u8> {
        match (&self.range, self.hand) {
            (Some(range), _) => range.clone(),
            (None, Hand::Right) => RIGHT,
            (None, Hand::Left) => LEFT,
        }
    }

    /// How many semitones the line moves to get into a key: by the smaller interval, and from there by
    /// as many octaves as leave the fewest notes out of range. Where no range was asked for, the
    /// key as written is left as it is.
    #[must_use]
    pub fn semitones_to(&self, key: Key) -> i16 {
        let nearest = i16::from(self.key.interval_to(key).semitones);
        if self.range.is_none() && nearest == 0 {
            return 0;
        }
        let outside = |octaves: &i16| self.outside_by(nearest + 12 * octaves).count();
        let far = |octaves: &i16| (nearest + 12 * octaves).abs();
        let octaves = (-8..=8).min_by_key(|octaves| (outside(octaves), far(octaves)));
        nearest + 12 * octaves.unwrap_or(0)
    }

    /// The notes that are out of range when the line is moved by so many semitones.
    fn outside_by(&self, semitones: i16) -> impl Iterator<Item = (usize, i16)> + '_ {
        let range = self.playable();
        let (low, high) = (i16::from(*range.start()), i16::from(*range.end()));
        let moved = self.notes.iter().map(move |note| i16::from(note.pitch) + semitones);
        moved.enumerate().filter(move |(_, pitch)| !(low..=high).contains(pitch))
    }

    /// A warning for every key of a timeline in which the line leaves its range, with the first bar
    /// where it does.
    #[must_use]
    pub fn warnings(&self, timeline: &Timeline) -> Vec<String> {
        let choruses = timeline.bars.iter().filter(|bar| bar.kind == BarKind::Chorus);
        let keys: BTreeSet<Key> = choruses.clone().map(|bar| bar.home).collect();
        let warning = |key: &Key| {
            let outside: Vec<(usize, i16)> = self.outside_by(self.semitones_to(*key)).collect();
            let (first, pitch) = outside.first()?;
            let at = self.notes.get(*first)?.at;
            let bar = choruses.clone().take_while(|bar| bar.in_form <= at).last();
            let bar = match bar.filter(|_| at >= Ticks::ZERO) {
                Some(bar) => format!("bar {}", bar.form_bar + 1),
                None => "the pickup".to_owned(),
            };
            let name = |number: i16| {
                let number = u8::try_from(number).ok()?;
                Pitch::named(number, key.spell(number % 12)).map(|pitch| pitch.to_string())
            };
            let note = name(*pitch).unwrap_or_else(|| "a note beyond MIDI".to_owned());
            let range = self.playable();
            let ends = [range.start(), range.end()].map(|end| name(i16::from(*end)));
            let [Some(low), Some(high)] = ends else { return None };
            let count = match outside.len() {
                1 => String::new(),
                many => format!(", {many} notes in all"),
            };
            Some(format!(
                "the line {} leaves its range, {low} to {high}, in {key}: {note} in {bar}{count}",
                self.name
            ))
        };
        keys.iter().filter_map(warning).collect()
    }
}

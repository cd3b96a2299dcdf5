//! One bar of one staff: notes and rests as the file has them.

use std::collections::BTreeMap;

use super::accidentals::Accidentals;
use super::bars::NotatedStaff;
use super::figures::Figure;
use super::opening::slash_value;
use crate::arrange::TimelineBar;
use crate::codec::musicxml::WrittenPitch;
use crate::codec::musicxml::score::{Accidental, Head, Item, ScoreNote, Stem};
use crate::theory::Key;
use crate::units::Ticks;

/// Writes one bar of one staff.
pub(super) struct StaffWriter<'a> {
    /// Its number, from 1, in parts with several.
    pub(super) staff: Option<u8>,
    /// The number of its first voice.
    pub(super) first_voice: u8,
    pub(super) bar: &'a TimelineBar,
    /// Where in the bar it begins: not at its start in a pickup.
    pub(super) from: Ticks,
}

impl StaffWriter<'_> {
    pub(super) fn write(&self, staff: &NotatedStaff, items: &mut Vec<Item>) {
        match staff {
            NotatedStaff::Silent => items.push(Item::Note(ScoreNote {
                head: Head::MeasureRest,
                duration: self.bar.meter.bar() - self.from,
                ..self.blank(self.first_voice)
            })),
            NotatedStaff::Slashes => self.slashes(items),
            NotatedStaff::Voices(voices) => self.voices(voices, items),
        }
    }

    fn blank(&self, voice: u8) -> ScoreNote {
        ScoreNote {
            head: Head::Rest,
            in_chord: false,
            duration: Ticks::ZERO,
            voice,
            staff: self.staff,
            value: None,
            dots: 0,
            accidental: None,
            triplet: None,
            stem: None,
            beams: Vec::new(),
            tie_start: false,
            tie_stop: false,
            staccato: false,
            printed: true,
        }
    }

    fn slashes(&self, items: &mut Vec<Item>) {
        let (value, dots, duration) = slash_value(self.bar.meter);
        let slash = ScoreNote {
            head: Head::Slash,
            duration,
            value: Some(value),
            dots,
            stem: Some(Stem::None),
            ..self.blank(self.first_voice)
        };
        let count = self.bar.meter.bar().0 / duration.0;
        items.extend((0..count).map(|_| Item::Note(slash.clone())));
    }

    fn voices(&self, voices: &[Vec<Figure>; 2], items: &mut Vec<Item>) {
        let several = voices.iter().all(|voice| !voice.is_empty());
        let accidentals = accidentals(voices, self.bar.key);
        for (index, voice) in (0_u8..).zip(voices).filter(|(_, voice)| !voice.is_empty()) {
            if index > 0 {
                items.push(Item::Backup(self.bar.meter.bar() - self.from));
            }
            let stem = match (several, index) {
                (false, _) => None,
                (true, 0) => Some(Stem::Up),
                (true, _) => Some(Stem::Down),
            };
            for (place, figure) in voice.iter().enumerate() {
                let blank = self.blank(self.first_voice + index);
                let like = ScoreNote {
                    duration: figure.end - figure.start,
                    value: Some(figure.value),
                    dots: figure.dots,
                    triplet: figure.triplet,
                    stem: stem.filter(|_| !figure.is_rest()),
                    // Rests of a second voice only fill it up.
                    printed: index == 0 || !figure.is_rest(),
                    ..blank
                };
                let accidental =
                    |note: usize| accidentals.get(&(usize::from(index), place, note)).copied();
                push_figure(figure, &like, accidental, items);
            }
        }
    }
}

/// A rest, or the notes of a chord from the lowest up.
fn push_figure(
    figure: &Figure,
    like: &ScoreNote,
    accidental: impl Fn(usize) -> Option<Accidental>,
    items: &mut Vec<Item>,
) {
    if figure.is_rest() {
        items.push(Item::Note(like.clone()));
    }
    for (index, note) in figure.notes.iter().enumerate() {
        let pitch = WrittenPitch { step: note.pitch.name, octave: note.pitch.octave };
        items.push(Item::Note(ScoreNote {
            head: if note.ghost { Head::Ghost(pitch) } else { Head::Pitch(pitch) },
            in_chord: index > 0,
            accidental: accidental(index),
            beams: if index == 0 { figure.beams.clone() } else { Vec::new() },
            tie_start: note.tied_to,
            tie_stop: note.tied_from,
            staccato: index == 0 && note.staccato && !note.tied_to && !note.tied_from,
            ..like.clone()
        }));
    }
}

/// The accidentals of a bar, by voice, figure and note: in order of time, whatever the voice.
fn accidentals(voices: &[Vec<Figure>; 2], key: Key) -> BTreeMap<(usize, usize, usize), Accidental> {
    let mut notes = Vec::new();
    for (voice, figures) in voices.iter().enumerate() {
        for (place, figure) in figures.iter().enumerate() {
            for (index, note) in figure.notes.iter().enumerate() {
                notes.push((figure.start, (voice, place, index), note));
            }
        }
    }
    notes.sort_by_key(|(start, place, _)| (*start, *place));
    let mut staff = Accidentals::at_bar_line(key);
    let printed = notes.into_iter().filter_map(|(_, place, note)| {
        staff.of(note.pitch, note.tied_from).map(|accidental| (place, accidental))
    });
    printed.collect()
}

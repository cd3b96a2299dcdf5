//! A shape on a chord: which degree each of its notes becomes.

use crate::part::Hand;
use crate::style::{Shape, ShapeNote, StyleHand};
use crate::theory::{Degree, Harmony, Interval, NoteName};

/// A note of a shape on a chord, before it has an octave.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tone {
    /// The number that the shape asks for.
    pub(super) asked: u8,
    /// What it is in the chord.
    pub(super) degree: Degree,
    /// Its name.
    pub(super) name: NoteName,
    pub(super) hand: Hand,
    pub(super) group: u8,
}

impl Tone {
    fn new(note: &ShapeNote, degree: Degree, harmony: &Harmony) -> Tone {
        let hand = match note.hand {
            StyleHand::Left => Hand::Left,
            StyleHand::Right => Hand::Right,
        };
        let name = harmony.note(degree);
        Tone { asked: note.degree, degree, name, hand, group: note.group }
    }

    pub(super) fn pitch_class(&self) -> u8 {
        self.name.pitch_class()
    }
}

/// The tones of a shape on a chord, from the lowest up.
///
/// [`Harmony::degree`] says what each number is: the altered tension for the natural one, 6 for
/// 7, 4 for 3. Where the chord has nothing for a number, the fifth stands in, or the root where
/// the shape has the fifth as well. A tone that is struck already is left out. A written bass
/// takes the place of a root that is the lowest of what is struck together; a tone that it
/// doubles becomes the root in exchange.
pub(super) fn tones(shape: &Shape, harmony: &Harmony) -> Vec<Tone> {
    let asks_for_fifth = shape.notes.iter().any(|note| note.degree == 5);
    let fifth = harmony.symbol.fifth().filter(|_| !asks_for_fifth);
    let stand_in = fifth.unwrap_or(Degree::ROOT);
    let mut tones: Vec<Tone> = Vec::new();
    for note in &shape.notes {
        let degree = harmony.degree(note.degree).unwrap_or(stand_in);
        let is_there = |tone: &Tone| {
            tone.group == note.group && tone.degree.pitch_class() == degree.pitch_class()
        };
        if !tones.iter().any(is_there) {
            tones.push(Tone::new(note, degree, harmony));
        }
    }
    with_written_bass(&mut tones, harmony);
    tones
}

fn with_written_bass(tones: &mut [Tone], harmony: &Harmony) {
    let Some(bass) = harmony.symbol.bass else { return };
    let mut is_played = false;
    for group in tones.chunk_by_mut(|tone, next| tone.group == next.group) {
        if let Some(lowest) = group.first_mut().filter(|tone| tone.asked == 1) {
            lowest.name = bass;
            lowest.degree = degree_of(bass, harmony.symbol.root);
            is_played = true;
        }
    }
    let mut doubled = tones.iter_mut().filter(|tone| is_played && tone.asked != 1);
    let doubled = doubled.find(|tone| tone.pitch_class() == bass.pitch_class());
    if let Some(doubled) = doubled {
        doubled.name = harmony.symbol.root;
        doubled.degree = Degree::ROOT;
    }
}

/// What a name is above a root.
fn degree_of(name: NoteName, root: NoteName) -> Degree {
    let interval = Interval::up(root, name);
    let number = interval.steps.unsigned_abs() + 1;
    Degree::new(number, interval.semitones - Degree::natural(number).semitones())
}

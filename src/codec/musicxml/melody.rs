//! The first voice of a score as one run of notes.

use std::collections::{BTreeMap, VecDeque};

use super::{LeadSheet, Measure, MelodyNote, Transpose};
use crate::codec::MOST_NOTES;
use crate::theory::{Interval, NoteName, Pitch};
use crate::units::{Meter, Meters, Ticks, Velocity};

/// A voice as it sounds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Melody {
    /// How much of it stands in a first measure that is not full.
    pub pickup: Ticks,
    /// How many measures it has, not counting the pickup.
    pub bars: u32,
    /// The notes in order of start, then pitch. Tied notes are one.
    pub notes: Vec<SoundingNote>,
    /// What was left out, with its measure.
    pub warnings: Vec<String>,
}

/// A note as it sounds: transposing instruments are read at their sounding pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SoundingNote {
    /// From the first full measure; negative in a pickup.
    pub at: Ticks,
    /// How long it is written.
    pub length: Ticks,
    /// MIDI note number.
    pub pitch: u8,
    /// What it is called, where the file says.
    pub name: Option<NoteName>,
    /// How loud, where a mark has said it.
    pub loudness: Option<Velocity>,
    /// Whether it carries an accent.
    pub accent: bool,
    /// Whether it is to be cut short.
    pub staccato: bool,
}

/// Why a score gives no line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("measure {measure}: {problem}")]
pub struct MelodyError {
    /// The measure's printed number.
    pub measure: String,
    /// What is wrong in it.
    pub problem: MelodyProblem,
}

/// What is wrong with a measure of a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MelodyProblem {
    /// Another meter than the chart's.
    #[error("the meter is {0}/{1}, and the chart's is {2}")]
    Meter(u8, u8, Meter),
    /// A measure that is too short or too long, in quarter notes.
    #[error("it is {0} quarter notes long, and should be {1}")]
    Length(String, String),
    /// A pitch beyond the MIDI numbers.
    #[error("a note is beyond all instruments")]
    PitchOutOfRange,
    /// More notes than are read.
    #[error("with it, there are more than {MOST_NOTES} notes; save only the part that is meant")]
    TooManyNotes,
}

/// The notes whose ties wait for the next of their pitch: their places among all notes.
type OpenTies = BTreeMap<u8, VecDeque<usize>>;

impl LeadSheet {
    /// The notes of the first voice that has any: the top one, as scores number them. Measures are
    /// taken in the order in which they stand, whatever repeats and jumps say.
    ///
    /// # Errors
    /// A measure with another meter, a length that is not the meter's (but a pickup's or
    /// the last one's), or a pitch beyond MIDI.
    pub fn melody(&self, meters: Meters<'_>) -> Result<Melody, MelodyError> {
        let all = self.measures.iter().flat_map(|measure| &measure.notes);
        let voice = all.filter(|note| note.pitch.is_some()).map(|note| note.voice).min();
        let mut melody = Melody::default();
        if self.other_parts > 0 {
            let warning = "only one part of the score is read: the first, or the first with chords";
            melody.warnings.push(warning.to_owned());
        }
        let mut open = OpenTies::new();
        let mut transpose = None;
        let mut start = Ticks::ZERO;
        for (index, measure) in self.measures.iter().enumerate() {
            let wrong = |problem| MelodyError { measure: measure.number.clone(), problem };
            let meter = meters.of_bar(melody.bars as usize);
            measure.check(meter).map_err(wrong)?;
            let length = measure.length;
            let is_pickup = index == 0 && (!measure.counted || length < meter.bar());
            let is_last = index + 1 == self.measures.len();
            if is_pickup && !is_last && length < meter.bar() {
                melody.pickup = length;
                start = -length;
            } else if length > meter.bar() || (length < meter.bar() && !is_last) {
                let quarters = |ticks: Ticks| format!("{:.4}", ticks.quarters());
                let tidy =
                    |text: String| text.trim_end_matches('0').trim_end_matches('.').to_owned();
                let [found, wanted] = [length, meter.bar()].map(|ticks| tidy(quarters(ticks)));
                return Err(wrong(MelodyProblem::Length(found, wanted)));
            } else {
                melody.bars += 1;
            }
            transpose = measure.transpose.or(transpose);
            let notes = measure.notes.iter().filter(|note| Some(note.voice) == voice);
            for note in notes {
                melody.add(note, start, transpose, &mut open, measure).map_err(wrong)?;
            }
            start += if melody.bars == 0 { length } else { meter.bar() };
        }
        melody.notes.sort_by_key(|note| (note.at, note.pitch));
        Ok(melody)
    }
}

impl Measure {
    fn check(&self, meter: Meter) -> Result<(), MelodyProblem> {
        if let Some(time) = self.time {
            let quarter = 4 * Ticks::QUARTER.0;
            if i64::from(time.beats) * quarter / i64::from(time.beat_type) != meter.bar().0 {
                return Err(MelodyProblem::Meter(time.beats, time.beat_type, meter));
            }
        }
        Ok(())
    }
}

impl Melody {
    fn add(
        &mut self,
        note: &MelodyNote,
        measure_start: Ticks,
        transpose: Option<Transpose>,
        open: &mut OpenTies,
        measure: &Measure,
    ) -> Result<(), MelodyProblem> {
        let Some(written) = note.pitch else { return Ok(()) };
        if note.length <= Ticks::ZERO {
            let warning = format!("measure {}: grace notes are not played", measure.number);
            if self.warnings.last() != Some(&warning) {
                self.warnings.push(warning);
            }
            return Ok(());
        }
        let pitch = Pitch { name: written.step, octave: written.octave };
        let (pitch, name) = sounding(pitch, transpose).ok_or(MelodyProblem::PitchOutOfRange)?;
        let ties = open.get_mut(&pitch).filter(|_| note.tie_stop);
        let place = match ties.and_then(VecDeque::pop_front) {
            Some(place) => {
                if let Some(before) = self.notes.get_mut(place) {
                    before.length += note.length;
                }
                place
            }
            None if self.notes.len() >= MOST_NOTES => return Err(MelodyProblem::TooManyNotes),
            None => {
                self.notes.push(SoundingNote {
                    at: measure_start + note.at,
                    length: note.length,
                    pitch,
                    name,
                    loudness: note.loudness,
                    accent: note.accent,
                    staccato: note.staccato,
                });
                self.notes.len() - 1
            }
        };
        if note.tie_start {
            open.entry(pitch).or_default().push_back(place);
        }
        Ok(())
    }
}

/// A written pitch as it sounds, with its name where the letters are known.
fn sounding(written: Pitch, transpose: Option<Transpose>) -> Option<(u8, Option<NoteName>)> {
    let midi = written.midi()?;
    let Some(transpose) = transpose else { return Some((midi, Some(written.name))) };
    let semitones = i16::from(transpose.semitones) + 12 * i16::from(transpose.octaves);
    let moved = u8::try_from(i16::from(midi) + semitones).ok().filter(|pitch| *pitch < 128)?;
    let interval = transpose.steps.map(|steps| Interval { steps, semitones: transpose.semitones });
    Some((moved, interval.map(|interval| written.name.transpose(interval).simplified())))
}

//! A band made of arithmetic: takes and sounds for tests that need no SoundFont.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test that panics fails, and its numbers are small"
)]

use std::f32::consts::TAU;
use std::io::Result;

use countoff::mix::{BlockSink, RoomSource, StemSource, Studio};
use countoff::performance::{
    Instrument, Part, Performance, PerformedNote, PerformedPart, TempoMap,
};
use countoff::units::{Frames, SampleRate, Tempo, Ticks, Velocity};

/// A take of some bars of 4/4 at 120 to the minute: chords, a walking bass, strokes, clicks.
pub(crate) fn take(bars: i64, parts: &[Part]) -> Performance {
    let quarter = Ticks::QUARTER;
    let parts = parts
        .iter()
        .map(|part| {
            let every = if *part == Part::Comp { quarter * 2 } else { quarter };
            let count = if *part == Part::CountIn { 4 } else { bars * 4 * quarter.0 / every.0 };
            let notes = (0..count).map(|index| PerformedNote {
                on: every * index,
                off: every * index + Ticks(every.0 * 3 / 4),
                pitch: pitch(*part, index),
                velocity: Velocity::clamped(70 + i32::try_from(index % 5).unwrap() * 10),
                variant: 0,
            });
            let bank = if *part == Part::Drums { 128 } else { 0 };
            let notes = notes.collect();
            PerformedPart { part: *part, instrument: Instrument { bank, program: 0 }, notes }
        })
        .collect();
    Performance { parts, tempo: TempoMap::constant(Tempo(500_000)), end: quarter * (4 * bars) }
}

fn pitch(part: Part, index: i64) -> u8 {
    let step = u8::try_from(index % 7).unwrap();
    match part {
        Part::Bass => 30 + 2 * step,
        Part::Comp => 50 + 3 * step,
        Part::Line => 67 + 2 * step,
        Part::Drums => 90 + step,
        Part::Click | Part::CountIn => 84,
    }
}

/// Sounds made of decaying sines, and a room made of one echo that repeats.
pub(crate) struct Sines {
    pub(crate) rate: SampleRate,
    /// How loud each note is, full scale being 1.
    pub(crate) amplitude: f32,
    pub(crate) has_room: bool,
    /// How fast drums die away, in nepers a second.
    pub(crate) drum_decay: f32,
}

impl Studio for Sines {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> std::result::Result<Box<dyn StemSource>, String> {
        let notes = part
            .notes
            .iter()
            .map(|note| SineNote {
                start: take.tempo.frame(note.on, self.rate),
                cycle: 440.0 * 2_f32.powf((f32::from(note.pitch) - 69.0) / 12.0)
                    / self.rate.hz() as f32,
                decay: self.decay(part.part) / self.rate.hz() as f32,
                amplitude: self.amplitude * f32::from(note.velocity.get()) / 127.0,
            })
            .collect();
        Ok(Box::new(SineStem { notes, position: 0 }))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        let length = if self.has_room { 2_000 } else { 0 };
        Box::new(Echo { ring: vec![[0.0; 2]; length], at: 0 })
    }
}

impl Sines {
    /// Nepers a second.
    fn decay(&self, part: Part) -> f32 {
        match part {
            Part::Comp | Part::Line | Part::Bass => 4.0,
            Part::Drums => self.drum_decay,
            Part::Click | Part::CountIn => 80.0,
        }
    }
}

#[derive(Clone)]
struct SineNote {
    start: Frames,
    cycle: f32,
    decay: f32,
    amplitude: f32,
}

struct SineStem {
    notes: Vec<SineNote>,
    position: u64,
}

impl StemSource for SineStem {
    fn add_block(
        &mut self,
        left: &mut [f32],
        right: &mut [f32],
    ) -> std::result::Result<(), String> {
        let end = self.position + left.len() as u64;
        for note in self.notes.iter().filter(|note| note.start.0 < end) {
            let longest = (18.0 / note.decay) as u64;
            let from = note.start.0.max(self.position);
            for frame in from..end.min(note.start.0 + longest) {
                let age = (frame - note.start.0) as f32;
                let value =
                    note.amplitude * (-note.decay * age).exp() * (TAU * note.cycle * age).sin();
                let at = usize::try_from(frame - self.position).unwrap();
                left[at] += value;
                right[at] += value * 0.8;
            }
        }
        self.position = end;
        Ok(())
    }
}

struct Echo {
    ring: Vec<[f32; 2]>,
    at: usize,
}

impl RoomSource for Echo {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        if self.ring.is_empty() {
            return;
        }
        for frame in 0..left.len() {
            let [wet_left, wet_right] = self.ring[self.at];
            left[frame] += wet_left;
            right[frame] += wet_right;
            self.ring[self.at] =
                [send[1][frame] + 0.5 * wet_left, send[0][frame] + 0.5 * wet_right];
            self.at = (self.at + 1) % self.ring.len();
        }
    }
}

/// Keeps everything.
#[derive(Debug, Default, Clone, PartialEq)]
pub(crate) struct Tape {
    pub(crate) left: Vec<f32>,
    pub(crate) right: Vec<f32>,
}

impl BlockSink for Tape {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> Result<()> {
        self.left.extend_from_slice(left);
        self.right.extend_from_slice(right);
        Ok(())
    }
}

impl Tape {
    /// Left and right in turn.
    pub(crate) fn interleaved(&self) -> Vec<f32> {
        self.left.iter().zip(&self.right).flat_map(|(left, right)| [*left, *right]).collect()
    }

    /// The largest absolute value of some frames.
    pub(crate) fn peak(&self, frames: std::ops::Range<usize>) -> f32 {
        let [left, right] = [&self.left[frames.clone()], &self.right[frames]];
        left.iter().chain(right).fold(0.0, |most, sample| most.max(sample.abs()))
    }

    /// Sample by sample.
    pub(crate) fn plus(&self, other: &Tape) -> Tape {
        let add = |one: &[f32], other: &[f32]| one.iter().zip(other).map(|(a, b)| a + b).collect();
        Tape { left: add(&self.left, &other.left), right: add(&self.right, &other.right) }
    }

    /// Sample by sample.
    pub(crate) fn minus(&self, other: &Tape) -> Tape {
        let negated = |samples: &[f32]| samples.iter().map(|sample| -sample).collect();
        self.plus(&Tape { left: negated(&other.left), right: negated(&other.right) })
    }
}

/// Between two tapes in some frames.
pub(crate) fn largest_difference(one: &Tape, other: &Tape, frames: std::ops::Range<usize>) -> f32 {
    one.minus(other).peak(frames)
}

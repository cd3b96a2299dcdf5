//! A part of a take as audio: the sparse sum of its notes at exact frames, block by block.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::choke;
use super::key::NoteKey;
use super::note::NoteWave;
use super::sum::add_wave;
use super::voice::BLOCK;
use super::{SoundError, Sounds};
use crate::simd::{SimdKernel, dispatch};
use crate::units::Frames;

/// A strand of a note in a stem. An hour has a hundred thousand, so it is small.
#[derive(Debug, Clone)]
pub(super) struct Event {
    /// Its first frame.
    pub(super) start: u64,
    /// The waveform it needs.
    pub(super) note: NoteKey,
    /// Its gain by velocity and in its note.
    pub(super) gain: f32,
    /// In which of its blocks the key is let go.
    pub(super) release_block: u32,
    /// How many blocks it lasts at the most.
    pub(super) blocks: u32,
    /// How many blocks of the waveform the longest of the stem's notes needs that share it.
    pub(super) longest: u32,
    /// The frame where another note begins to choke it.
    pub(super) choke: Option<u64>,
}

impl Event {
    /// The first frame in which nothing of it is left.
    pub(super) fn end(&self, fade: u64) -> u64 {
        let rung = self.start + u64::from(self.blocks) * BLOCK as u64;
        self.choke.map_or(rung, |choke| rung.min(choke + fade))
    }
}

/// Renders one part, dry, from its beginning to the end of its last note.
///
/// Blocks may have any lengths: the result is the same to the last bit.
#[derive(Debug)]
pub struct StemRenderer {
    sounds: Sounds,
    /// In order of start.
    events: Vec<Event>,
    /// The next event that has not begun.
    next: usize,
    /// Those that sound, in order of start.
    active: Vec<(usize, Arc<NoteWave>)>,
    position: u64,
    end: u64,
    fade: choke::Fade,
}

impl StemRenderer {
    pub(super) fn new(sounds: Sounds, mut events: Vec<Event>) -> StemRenderer {
        let mut longest: BTreeMap<NoteKey, u32> = BTreeMap::new();
        for event in &events {
            let blocks = longest.entry(event.note).or_default();
            *blocks = event.blocks.max(*blocks);
        }
        for event in &mut events {
            event.longest = longest.get(&event.note).copied().unwrap_or(event.blocks);
        }
        let fade = choke::Fade::new(sounds.rate());
        let end = events.iter().map(|event| event.end(fade.length() as u64)).max().unwrap_or(0);
        StemRenderer { sounds, events, next: 0, active: Vec::new(), position: 0, end, fade }
    }

    /// Moves to a frame: the next block begins there, with all that still sounds of earlier notes.
    pub fn seek(&mut self, frame: Frames) {
        self.position = frame.0;
        self.next = 0;
        self.active.clear();
    }

    /// Whether nothing is left to sound.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.next == self.events.len() && self.active.is_empty() || self.position >= self.end
    }

    /// Adds the next block to `left` and `right`, which must be of the same length (of unequal
    /// ones the shorter counts).
    ///
    /// # Errors
    /// When a note's sample data cannot be read, or the synthesiser fails on it.
    pub fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), SoundError> {
        let from = self.position;
        let to = from + left.len().min(right.len()) as u64;
        self.begin(to)?;
        self.sum(from, left, right);
        self.end_at(to);
        Ok(())
    }

    /// Gets the waveforms of all notes that begin before a frame.
    fn begin(&mut self, to: u64) -> Result<(), SoundError> {
        let from = self.position;
        while let Some(event) = self.events.get(self.next).filter(|event| event.start < to) {
            if event.end(self.fade.length() as u64) > from {
                let wave = self.sounds.wave(event)?;
                self.active.push((self.next, wave));
            }
            self.next += 1;
        }
        Ok(())
    }

    fn sum(&self, from: u64, left: &mut [f32], right: &mut [f32]) {
        let length = left.len().min(right.len());
        let (left, right) = (&mut left[..length], &mut right[..length]);
        let StemRenderer { active, events, fade, .. } = self;
        dispatch(Sum { active, events, fade, from, left, right });
    }

    /// Lets go of what has ended by a frame, and goes on there.
    fn end_at(&mut self, to: u64) {
        let (events, fade) = (&self.events, self.fade.length() as u64);
        self.active.retain(|(event, wave)| {
            let event = &events[*event];
            event.end(fade).min(event.start + wave.sound.len() as u64) > to
        });
        self.position = to;
    }
}

/// Adds up all that sounds in a block.
struct Sum<'a> {
    active: &'a [(usize, Arc<NoteWave>)],
    events: &'a [Event],
    fade: &'a choke::Fade,
    /// The block's first frame.
    from: u64,
    left: &'a mut [f32],
    right: &'a mut [f32],
}

impl SimdKernel for Sum<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for (event, wave) in self.active {
            add_wave(&self.events[*event], wave, self.fade, self.from, self.left, self.right);
        }
    }
}

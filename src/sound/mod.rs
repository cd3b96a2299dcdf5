//! A performance becomes audio: SoundFont, notes, stems, room.
//!
//! ```text
//! SoundFont ──> voice ──> note ──> store
//!  (checked)   (synth)  (voices    │  (made once)
//!                       added up)  └──> stem ──> mix
//!                                  (exact frames,      room (one reverb, on the bus)
//!                                   gain, envelope)
//! ```
//!
//! The synthesiser is asked for each distinct waveform once. What differs from one playing of a
//! note to the next (how hard, how long, where) is arithmetic at mixing time, and repeats the
//! synthesiser's own.

mod choke;
mod envelope;
mod error;
mod key;
mod note;
mod room;
mod soundfont;
mod stem;
mod store;
mod sum;
mod voice;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use error::SoundError;
pub use room::Room;
pub use soundfont::{EMBEDDED, PresetName, SoundFont, SoundFontInfo, SoundFontSource};
pub use stem::StemRenderer;
pub use store::StoreBudget;

use crate::arrange::TempoMap;
use crate::feel::{PerformedNote, PerformedPart};
use crate::part::Instrument;
use crate::part::drums::sounding_key;
use crate::units::{Frames, SampleRate};
use envelope::{Envelope, EnvelopeShape};
use key::{NoteKey, sounding};
use note::{NoteWave, velocity_gain};
use soundfont::Region;
use stem::Event;
use store::NoteStore;
use voice::BLOCK;

/// A SoundFont made ready to play some instruments at one sample rate, with its note store.
///
/// Cheap to clone; all clones, on all threads, share the store.
#[derive(Debug, Clone)]
pub struct Sounds(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    font: SoundFont,
    presets: BTreeMap<Instrument, Vec<Region>>,
    rate: SampleRate,
    store: NoteStore,
}

impl Sounds {
    /// Makes a SoundFont ready for the instruments that will be asked for.
    ///
    /// # Errors
    /// When it lacks one of them, or what it says of one is damaged.
    pub fn new(
        font: SoundFont,
        instruments: &[Instrument],
        rate: SampleRate,
        budget: StoreBudget,
    ) -> Result<Sounds, SoundError> {
        let presets = instruments
            .iter()
            .map(|instrument| Ok((*instrument, font.regions(*instrument)?)))
            .collect::<Result<_, SoundError>>()?;
        Ok(Sounds(Arc::new(Shared { font, presets, rate, store: NoteStore::new(budget) })))
    }

    /// Frames per second of everything that comes out.
    #[must_use]
    pub fn rate(&self) -> SampleRate {
        self.0.rate
    }

    /// The SoundFont.
    #[must_use]
    pub fn soundfont(&self) -> &SoundFont {
        &self.0.font
    }

    /// How many bytes the note store keeps now.
    #[must_use]
    pub fn stored_bytes(&self) -> usize {
        self.0.store.bytes()
    }

    /// A part as audio, dry. Tick 0 is at frame `offset`.
    ///
    /// # Errors
    /// When the part's instrument was not among those that [`Sounds::new`] was asked for and the
    /// SoundFont lacks it.
    pub fn stem(
        &self,
        part: &PerformedPart,
        tempo: &TempoMap,
        offset: Frames,
    ) -> Result<StemRenderer, SoundError> {
        let Some(regions) = self.0.presets.get(&part.instrument) else {
            return Err(SoundError::NotPrepared { instrument: part.instrument });
        };
        let percussion = part.instrument.bank == PERCUSSION;
        let mut events: Vec<(Event, Option<choke::ChokeGroup>)> = part
            .notes
            .iter()
            .map(|note| {
                let program = part.instrument.program;
                let key = if percussion { variant_key(regions, program, note) } else { note.pitch };
                let velocity = note.velocity.get();
                let group = if percussion { choke::group(regions, key, velocity) } else { None };
                let start = (tempo.frame(note.on, self.0.rate) + offset).0;
                let length = (tempo.frame(note.off, self.0.rate) + offset).0.saturating_sub(start);
                (self.event(part.instrument, regions, key, velocity, start, length), group)
            })
            .collect();
        events.sort_by_key(|(event, _)| event.start);
        let events = choke::choked(events);
        Ok(StemRenderer::new(self.clone(), events))
    }

    fn event(
        &self,
        instrument: Instrument,
        regions: &[Region],
        key: u8,
        velocity: u8,
        start: u64,
        length: u64,
    ) -> Event {
        let release_block = release_block(length);
        let last = sounding(regions, key, velocity)
            .map(|region| {
                let shape = EnvelopeShape::of(&region.settings);
                Envelope::new(&shape, key, self.0.rate).end(release_block)
            })
            .max();
        Event {
            start,
            note: NoteKey::of(instrument, regions, key, velocity, release_block),
            gain: MASTER * velocity_gain(velocity),
            release_block,
            // One more to close in.
            blocks: last.map_or(0, |last| last + 1),
            choke: None,
        }
    }

    /// The waveform of an event, from the store.
    fn wave(&self, event: &Event) -> Result<Arc<NoteWave>, SoundError> {
        let shared = &self.0;
        shared.store.get(event.note, event.blocks, |blocks| {
            let regions = shared.presets.get(&event.note.instrument).map_or(&[][..], Vec::as_slice);
            NoteWave::render(&shared.font, regions, event.note, blocks, shared.rate)
        })
    }
}

/// The bank of percussion presets.
const PERCUSSION: u16 = 128;

/// Half, as the synthesiser's master volume is unless told otherwise: a full chord stays below
/// full scale.
const MASTER: f32 = 0.5;

/// The synthesiser lets a key go at the start of a block, the nearest to the note's length, and
/// never in the first two.
fn release_block(length: u64) -> usize {
    let blocks = (length + BLOCK as u64 / 2) / BLOCK as u64;
    usize::try_from(blocks).unwrap_or(usize::MAX).max(2)
}

/// The key that sounds for a percussion note: the stroke asked for, where the SoundFont has it.
fn variant_key(regions: &[Region], program: u8, note: &PerformedNote) -> u8 {
    let key = sounding_key(program, note.pitch, note.variant);
    let has = |key: u8| sounding(regions, key, note.velocity.get()).next().is_some();
    if has(key) { key } else { note.pitch }
}

#[cfg(test)]
mod tests;

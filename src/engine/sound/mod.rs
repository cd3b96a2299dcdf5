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

mod block_float;
mod choke;
mod envelope;
mod error;
mod key;
mod note;
mod preset;
mod release;
mod room;
mod soundfont;
mod stem;
mod store;
mod strand;
mod sum;
mod voice;

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

pub use error::SoundError;
pub use room::Room;
pub use soundfont::{PresetName, SoundFont, SoundFontInfo, SoundFontSource};
pub use stem::StemRenderer;
pub use store::StoreBudget;

use crate::performance::Instrument;
use crate::performance::TempoMap;
use crate::performance::sounding_key;
use crate::performance::{PerformedNote, PerformedPart};
use crate::units::{Frames, SampleRate};
use block_float::Draft;
use choke::Choker;
use key::NoteKey;
use note::{NoteWave, velocity_gain};
use preset::Preset;
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
    presets: BTreeMap<Instrument, Preset>,
    rate: SampleRate,
    store: NoteStore,
    /// Where notes are made, one for each thread that ever made one.
    drafts: Mutex<Vec<[Draft; 2]>>,
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
            .map(|instrument| Ok((*instrument, Preset::new(&font.regions(*instrument)?, rate))))
            .collect::<Result<_, SoundError>>()?;
        let (store, drafts) = (NoteStore::new(budget), Mutex::default());
        Ok(Sounds(Arc::new(Shared { font, presets, rate, store, drafts })))
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
        self.stem_of_passes(part, tempo, &[offset])
    }

    /// A part played several times over as audio, dry. Tick 0 of each pass is at one of the frames
    /// `starts`, which rise. What still sounds when the next pass begins rings on, unless a note
    /// of that pass chokes it.
    ///
    /// # Errors
    /// As for [`Sounds::stem`].
    pub fn stem_of_passes(
        &self,
        part: &PerformedPart,
        tempo: &TempoMap,
        starts: &[Frames],
    ) -> Result<StemRenderer, SoundError> {
        let instrument = part.instrument;
        let preset =
            self.0.presets.get(&instrument).ok_or(SoundError::NotPrepared { instrument })?;
        let frame = |tick, first: Frames| (tempo.frame(tick, self.0.rate) + first).0;
        // Long takes have many notes: they are put in order before they become events, which are
        // large, and from the last on, since a choke looks ahead.
        let onsets = starts
            .iter()
            .flat_map(|first| part.notes.iter().map(move |note| frame(note.on, *first)));
        let mut order: Vec<(u64, usize)> = onsets.zip(0..).collect();
        order.sort_unstable();
        let strands = |note: &PerformedNote| {
            let key = self.sounding_key(preset, instrument, note);
            preset.layer(key, note.velocity.get()).map_or(0, |layer| layer.strands.len())
        };
        let count = starts.len() * part.notes.iter().map(strands).sum::<usize>();
        let mut choker = Choker::default();
        let mut events = Vec::with_capacity(count);
        for (start, number) in order.into_iter().rev() {
            let first = starts[number / part.notes.len()];
            let note = &part.notes[number % part.notes.len()];
            let note = StemNote {
                key: self.sounding_key(preset, instrument, note),
                velocity: note.velocity.get(),
                start,
                release_block: release_block(frame(note.off, first).saturating_sub(start)),
            };
            events.extend(note_events(preset, instrument, note, &mut choker).into_iter().rev());
        }
        events.reverse();
        Ok(StemRenderer::new(self.clone(), events))
    }

    /// The key that sounds for a note: for percussion the stroke asked for, where the SoundFont has it.
    fn sounding_key(&self, preset: &Preset, instrument: Instrument, note: &PerformedNote) -> u8 {
        if !instrument.is_percussion() || !self.0.font.has_variants() {
            return note.pitch;
        }
        let key = sounding_key(instrument.program, note.pitch, note.variant);
        let has = preset.layer(key, note.velocity.get()).is_some();
        if has { key } else { note.pitch }
    }

    /// The waveform of an event, from the store.
    fn wave(&self, event: &Event) -> Result<Arc<NoteWave>, SoundError> {
        let shared = &self.0;
        let note = event.note;
        let strand = shared
            .presets
            .get(&note.instrument)
            .and_then(|preset| preset.key(note.key)?.strands.get(usize::from(note.strand)))
            .ok_or(SoundError::NotPrepared { instrument: note.instrument })?;
        let (blocks, longest) = (event.blocks as usize, event.longest as usize);
        shared.store.get(note, blocks, longest, |blocks| {
            let at_hand = || shared.drafts.lock().unwrap_or_else(PoisonError::into_inner);
            let mut drafts = at_hand().pop().unwrap_or_default();
            let made =
                NoteWave::render(&shared.font, strand, note, blocks, shared.rate, &mut drafts);
            at_hand().push(drafts);
            made
        })
    }
}

/// A note on its way to sound.
#[derive(Debug, Clone, Copy)]
struct StemNote {
    key: u8,
    velocity: u8,
    /// First frame.
    start: u64,
    /// In which of its blocks the key is let go.
    release_block: u32,
}

/// What a note gives to hear: one event a strand, all in the same choke group.
fn note_events(
    preset: &Preset,
    instrument: Instrument,
    note: StemNote,
    choker: &mut Choker,
) -> Vec<Event> {
    let StemNote { key, velocity, start, release_block } = note;
    let (Some(sound), Some(layer)) = (preset.key(key), preset.layer(key, velocity)) else {
        return Vec::new();
    };
    let group =
        if instrument.is_percussion() { choke::group(key, layer.exclusive_class) } else { None };
    let choke = group.and_then(|group| choker.end(group, start));
    let event = |(number, gain): &(usize, f32)| {
        let strand = sound.strands.get(*number)?;
        // One block more, to close in.
        let blocks = strand.envelope.end(release_block as usize) + 1;
        let blocks = u32::try_from(blocks).unwrap_or(u32::MAX);
        let event = Event {
            start,
            note: NoteKey::new(
                instrument,
                key,
                (u16::try_from(*number).ok()?, strand),
                velocity,
                release_block,
            ),
            gain: event_gain(velocity, *gain),
            release_block,
            blocks,
            longest: blocks,
            choke,
        };
        Some(event)
    };
    layer.strands.iter().filter_map(event).collect()
}

/// Half, as the synthesiser's master volume is unless told otherwise: a full chord stays below
/// full scale.
const MASTER: f32 = 0.5;

/// The gain of a strand for a velocity, apart from its envelope.
fn event_gain(velocity: u8, gain: f32) -> f32 {
    MASTER * velocity_gain(velocity) * gain
}

/// What stays under this, -120 dBFS, is nothing: blocks of a note that do are left out, and where half
/// a step of 8 bits does, 8 bits are enough. All that is lost of a trio stays under -100 dBFS, at the
/// loudness of a finished mix (measured).
const UNHEARD: f32 = 1.0 / 1_048_576.0;

/// The first block in which the synthesiser lets a key go.
const SHORTEST: u32 = 2;

/// The synthesiser lets a key go at the start of a block, the nearest to the note's length.
fn release_block(length: u64) -> u32 {
    let blocks = (length + BLOCK as u64 / 2) / BLOCK as u64;
    u32::try_from(blocks).unwrap_or(u32::MAX).max(SHORTEST)
}

#[cfg(test)]
mod tests;

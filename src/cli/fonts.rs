//! The SoundFonts of a course: each is opened once, when the first sound is to be made with it, and
//! stays open from one round of making to the next while it fits.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::Failure;
use super::sounds::{self, SoundSource, Stamp};
use crate::part::Instrument;
use crate::sound::{SoundError, Sounds, StoreBudget};
use crate::units::SampleRate;

/// All that are needed.
#[derive(Default)]
pub(super) struct Fonts {
    fonts: BTreeMap<(SoundSource, SampleRate), Font>,
    hashes: BTreeMap<SoundSource, (Option<Stamp>, [u8; 32])>,
}

/// One SoundFont at one sample rate.
#[derive(Default)]
struct Font {
    instruments: Vec<Instrument>,
    open: Mutex<Option<OpenFont>>,
}

/// A SoundFont that is open, and what it was opened for.
struct OpenFont {
    hash: [u8; 32],
    instruments: Vec<Instrument>,
    bytes_for_notes: usize,
    sounds: Sounds,
}

impl Fonts {
    /// Asks for the SoundFonts of a round of making, each for some instruments, and reads their
    /// hashes, unless they are known from an earlier one. What an earlier round asked for and this one does not is closed.
    pub(super) fn ask_for<'a>(
        &mut self,
        wanted: impl IntoIterator<Item = (SoundSource, SampleRate, &'a [Instrument])>,
    ) -> Result<(), Failure> {
        let mut earlier = std::mem::take(&mut self.fonts);
        let hashed = std::mem::take(&mut self.hashes);
        for (source, rate, instruments) in wanted {
            if !self.hashes.contains_key(&source) {
                let stamp = sounds::stamp(&source);
                let hash = match hashed.get(&source) {
                    Some((known, hash)) if stamp.is_some() && *known == stamp => *hash,
                    _ => sounds::hash(&source)?,
                };
                self.hashes.insert(source.clone(), (stamp, hash));
            }
            let font = self.fonts.entry((source, rate)).or_insert_with_key(|key| Font {
                open: earlier.remove(key).map(|font| font.open).unwrap_or_default(),
                instruments: Vec::new(),
            });
            font.instruments.extend(instruments);
            font.instruments.sort_unstable();
            font.instruments.dedup();
        }
        Ok(())
    }

    /// The hash of one that was asked for.
    pub(super) fn hash(&self, source: &SoundSource) -> [u8; 32] {
        self.hashes.get(source).map(|(_, hash)| *hash).unwrap_or_default()
    }

    /// One that was asked for, open. All lessons that use it share its notes; all open ones
    /// together keep within the budget.
    pub(super) fn sounds(
        &self,
        source: &SoundSource,
        rate: SampleRate,
        budget: StoreBudget,
    ) -> Result<Sounds, SoundError> {
        let font = self.fonts.get(&(source.clone(), rate));
        let font = font.ok_or_else(|| SoundError::Damaged("it was not asked for".to_owned()))?;
        let (hash, bytes_for_notes) = (self.hash(source), budget.0 / self.fonts.len().max(1));
        let instruments = &font.instruments;
        let mut open = font.open.lock().unwrap_or_else(PoisonError::into_inner);
        let fits = |open: &&OpenFont| {
            open.hash == hash
                && open.bytes_for_notes == bytes_for_notes
                && instruments.iter().all(|instrument| open.instruments.contains(instrument))
        };
        if let Some(open) = open.as_ref().filter(fits) {
            return Ok(open.sounds.clone());
        }
        let share = StoreBudget(bytes_for_notes);
        let sounds = Sounds::new(sounds::open(source)?, instruments, rate, share)?;
        let instruments = instruments.clone();
        *open = Some(OpenFont { hash, instruments, bytes_for_notes, sounds: sounds.clone() });
        Ok(sounds)
    }
}

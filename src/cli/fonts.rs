//! The SoundFonts of a course: each is opened once, when the first sound is to be made with it.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::Failure;
use super::sounds::{self, SoundSource};
use crate::part::Instrument;
use crate::sound::{SoundError, Sounds, StoreBudget};
use crate::units::SampleRate;

/// All that are needed.
#[derive(Default)]
pub(super) struct Fonts {
    fonts: BTreeMap<(SoundSource, SampleRate), Font>,
    hashes: BTreeMap<SoundSource, [u8; 32]>,
}

/// One SoundFont at one sample rate.
struct Font {
    source: SoundSource,
    rate: SampleRate,
    instruments: Vec<Instrument>,
    sounds: Mutex<Option<Sounds>>,
}

impl Fonts {
    /// Notes that a lesson needs a SoundFont for some instruments, and reads its hash.
    pub(super) fn add(
        &mut self,
        source: &SoundSource,
        rate: SampleRate,
        instruments: &[Instrument],
    ) -> Result<(), Failure> {
        if !self.hashes.contains_key(source) {
            self.hashes.insert(source.clone(), sounds::hash(source)?);
        }
        let font = self.fonts.entry((source.clone(), rate)).or_insert_with(|| Font {
            source: source.clone(),
            rate,
            instruments: Vec::new(),
            sounds: Mutex::default(),
        });
        font.instruments.extend(instruments);
        font.instruments.sort_unstable();
        font.instruments.dedup();
        Ok(())
    }

    /// The hash of one that was added.
    pub(super) fn hash(&self, source: &SoundSource) -> [u8; 32] {
        self.hashes.get(source).copied().unwrap_or_default()
    }

    /// One that was added, open. All lessons that use it share its notes; all open ones together
    /// keep within the budget.
    pub(super) fn sounds(
        &self,
        source: &SoundSource,
        rate: SampleRate,
        budget: StoreBudget,
    ) -> Result<Sounds, SoundError> {
        let font = self.fonts.get(&(source.clone(), rate));
        let font = font.ok_or_else(|| SoundError::Damaged("it was not asked for".to_owned()))?;
        let mut open = font.sounds.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(sounds) = &*open {
            return Ok(sounds.clone());
        }
        let share = StoreBudget(budget.0 / self.fonts.len().max(1));
        let sounds = Sounds::new(sounds::open(&font.source)?, &font.instruments, font.rate, share)?;
        Ok(open.insert(sounds).clone())
    }
}

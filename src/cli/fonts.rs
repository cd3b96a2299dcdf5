//! The SoundFonts of a course: each is opened once, and stays open from one round of making to the
//! next while it fits.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::Failure;
use super::sounds::{self, SoundSource, Stamp};
use crate::part::Instrument;
use crate::sound::{SoundError, SoundFont, Sounds, StoreBudget};
use crate::units::SampleRate;

/// All that are needed.
#[derive(Default)]
pub(super) struct Fonts {
    files: BTreeMap<SoundSource, FontFile>,
    fonts: BTreeMap<(SoundSource, SampleRate), Font>,
}

/// A SoundFont's file, and what is known of its sounds.
struct FontFile {
    /// None where a changed file cannot be told by it.
    stamp: Option<Stamp>,
    /// What the instruments that were asked for sound like.
    hashes: BTreeMap<Instrument, [u8; 32]>,
    /// It was opened for the hashes; whoever plays it first takes it.
    opened: Mutex<Option<SoundFont>>,
}

/// One SoundFont at one sample rate.
#[derive(Default)]
struct Font {
    instruments: Vec<Instrument>,
    open: Mutex<Option<OpenFont>>,
}

/// A SoundFont that is open, and what it was opened for.
struct OpenFont {
    stamp: Option<Stamp>,
    instruments: Vec<Instrument>,
    bytes_for_notes: usize,
    sounds: Sounds,
}

impl Fonts {
    /// Asks for the SoundFonts of a round of making, each for some instruments, and finds out what
    /// these sound like, unless it is known from an earlier round. What an earlier round asked for
    /// and this one does not is closed.
    pub(super) fn ask_for<'a>(
        &mut self,
        wanted: impl IntoIterator<Item = (SoundSource, SampleRate, &'a [Instrument])>,
    ) -> Result<(), Failure> {
        let mut earlier = std::mem::take(&mut self.fonts);
        let mut files = std::mem::take(&mut self.files);
        for (source, rate, instruments) in wanted {
            let file = self
                .files
                .entry(source.clone())
                .or_insert_with_key(|source| FontFile::now(source, files.remove(source)));
            file.hash(&source, instruments).map_err(|error| sounds::failure(&source, &error))?;
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

    /// Closes those that are open, with all notes that were kept.
    pub(super) fn close(&self) {
        for font in self.fonts.values() {
            *font.open.lock().unwrap_or_else(PoisonError::into_inner) = None;
        }
    }

    /// What the instruments of one that was asked for sound like, each as a hash.
    pub(super) fn hashes(&self, source: &SoundSource) -> BTreeMap<Instrument, [u8; 32]> {
        self.files.get(source).map(|file| file.hashes.clone()).unwrap_or_default()
    }

    /// One that was asked for, open. All lessons that use it share its notes; all open ones
    /// together keep within the budget.
    pub(super) fn sounds(
        &self,
        source: &SoundSource,
        rate: SampleRate,
        budget: StoreBudget,
    ) -> Result<Sounds, SoundError> {
        let asked = self.fonts.get(&(source.clone(), rate)).zip(self.files.get(source));
        let (font, file) =
            asked.ok_or_else(|| SoundError::Damaged("it was not asked for".to_owned()))?;
        let bytes_for_notes = budget.0 / self.fonts.len().max(1);
        let instruments = &font.instruments;
        let mut open = font.open.lock().unwrap_or_else(PoisonError::into_inner);
        let fits = |open: &&OpenFont| {
            open.stamp.is_some()
                && open.stamp == file.stamp
                && open.bytes_for_notes == bytes_for_notes
                && instruments.iter().all(|instrument| open.instruments.contains(instrument))
        };
        if let Some(open) = open.as_ref().filter(fits) {
            return Ok(open.sounds.clone());
        }
        let share = StoreBudget(bytes_for_notes);
        let sounds = Sounds::new(file.take(source)?, instruments, rate, share)?;
        let (stamp, instruments) = (file.stamp, instruments.clone());
        *open = Some(OpenFont { stamp, instruments, bytes_for_notes, sounds: sounds.clone() });
        Ok(sounds)
    }
}

impl FontFile {
    /// A file as it is now, with what is known of it from earlier if it is still the same.
    fn now(source: &SoundSource, earlier: Option<FontFile>) -> FontFile {
        let stamp = sounds::stamp(source);
        earlier.filter(|file| stamp.is_some() && file.stamp == stamp).unwrap_or_else(|| FontFile {
            stamp,
            hashes: BTreeMap::new(),
            opened: Mutex::default(),
        })
    }

    /// Finds out what instruments sound like.
    fn hash(&mut self, source: &SoundSource, instruments: &[Instrument]) -> Result<(), SoundError> {
        for instrument in instruments {
            if !self.hashes.contains_key(instrument) {
                let font = self.take(source)?;
                self.hashes.insert(*instrument, font.hash_of(*instrument)?);
                self.opened = Mutex::new(Some(font));
            }
        }
        Ok(())
    }

    /// The SoundFont, open.
    fn take(&self, source: &SoundSource) -> Result<SoundFont, SoundError> {
        let opened = self.opened.lock().unwrap_or_else(PoisonError::into_inner).take();
        opened.map_or_else(|| sounds::open(source), Ok)
    }
}

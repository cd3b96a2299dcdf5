//! The SoundFonts of a course: each is opened once, and stays open from one round of making to the
//! next while it fits.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::cli::failure::Failure;
use crate::cli::sounds::{self, SoundSource, Stamp};
use crate::performance::Instrument;
use crate::sound::{SoundError, SoundFont, Sounds, StoreBudget};
use crate::units::SampleRate;

/// All that are needed.
#[derive(Default)]
pub(super) struct Fonts {
    files: Vec<FontFile>,
    fonts: Vec<Font>,
}

/// A SoundFont that was asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    /// Its place among the fonts.
    font: usize,
}

/// A SoundFont's file, and what is known of its sounds.
struct FontFile {
    source: SoundSource,
    /// None where a changed file cannot be told by it.
    stamp: Option<Stamp>,
    /// What the instruments that were asked for sound like.
    hashes: BTreeMap<Instrument, [u8; 32]>,
    /// It was opened for the hashes; whoever plays it first takes it.
    opened: Mutex<Option<SoundFont>>,
}

/// One SoundFont at one sample rate.
struct Font {
    /// The place of its file among the files.
    file: usize,
    rate: SampleRate,
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
    /// Asks for the SoundFonts of a job, each for some instruments, and finds out what these sound
    /// like, unless it is known from an earlier job. What an earlier job asked for and this one
    /// does not is closed.
    pub(super) fn ask_for<'a>(
        &mut self,
        asked: impl IntoIterator<Item = (SoundSource, SampleRate, &'a [Instrument])>,
    ) -> Result<Vec<Wanted>, Failure> {
        let mut earlier = std::mem::take(self);
        let mut wanted = Vec::new();
        for (source, rate, instruments) in asked {
            let file = self.file(source, &mut earlier);
            self.files[file].hash(instruments)?;
            let font = self.font(file, rate, &mut earlier);
            let known = &mut self.fonts[font].instruments;
            known.extend(instruments);
            known.sort_unstable();
            known.dedup();
            wanted.push(Wanted { font });
        }
        Ok(wanted)
    }

    /// The place of a file, which may be known from earlier.
    fn file(&mut self, source: SoundSource, earlier: &mut Fonts) -> usize {
        let is_it = |file: &FontFile| file.source == source;
        self.files.iter().position(is_it).unwrap_or_else(|| {
            let stamp = sounds::stamp(&source);
            let same = |file: &&mut FontFile| stamp.is_some() && file.stamp == stamp;
            let known = earlier.files.iter_mut().find(|file| file.source == source).filter(same);
            let (hashes, opened) = known
                .map(|file| (std::mem::take(&mut file.hashes), std::mem::take(&mut file.opened)))
                .unwrap_or_default();
            self.files.push(FontFile { source, stamp, hashes, opened });
            self.files.len() - 1
        })
    }

    /// The place of a font, which may be open from earlier.
    fn font(&mut self, file: usize, rate: SampleRate, earlier: &mut Fonts) -> usize {
        let is_it = |font: &Font| font.file == file && font.rate == rate;
        self.fonts.iter().position(is_it).unwrap_or_else(|| {
            let source = &self.files[file].source;
            let known = earlier
                .fonts
                .iter_mut()
                .find(|font| font.rate == rate && earlier.files[font.file].source == *source);
            let open = known.map(|font| std::mem::take(&mut font.open)).unwrap_or_default();
            self.fonts.push(Font { file, rate, instruments: Vec::new(), open });
            self.fonts.len() - 1
        })
    }

    /// Closes those that are open, with all notes that were kept.
    pub(super) fn close(&self) {
        for font in &self.fonts {
            *font.open.lock().unwrap_or_else(PoisonError::into_inner) = None;
        }
    }

    /// What the instruments of one that was asked for sound like, each as a hash.
    pub(super) fn hashes(&self, wanted: Wanted) -> BTreeMap<Instrument, [u8; 32]> {
        self.files[self.fonts[wanted.font].file].hashes.clone()
    }

    /// One that was asked for, open. All lessons that use it share its notes; all open ones
    /// together keep within the budget.
    pub(super) fn sounds(&self, wanted: Wanted, budget: StoreBudget) -> Result<Sounds, SoundError> {
        let font = &self.fonts[wanted.font];
        let file = &self.files[font.file];
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
        let sounds = Sounds::new(file.take()?, instruments, font.rate, share)?;
        let (stamp, instruments) = (file.stamp, instruments.clone());
        *open = Some(OpenFont { stamp, instruments, bytes_for_notes, sounds: sounds.clone() });
        Ok(sounds)
    }
}

impl FontFile {
    /// Finds out what instruments sound like.
    fn hash(&mut self, instruments: &[Instrument]) -> Result<(), Failure> {
        let missing: Vec<&Instrument> =
            instruments.iter().filter(|instrument| !self.hashes.contains_key(instrument)).collect();
        if missing.is_empty() {
            return Ok(());
        }
        let failed = |error: SoundError| sounds::failure(&self.source, &error);
        let font = self.take().map_err(failed)?;
        for instrument in missing {
            self.hashes.insert(*instrument, font.hash_of(*instrument).map_err(failed)?);
        }
        self.opened = Mutex::new(Some(font));
        Ok(())
    }

    /// The SoundFont, open.
    fn take(&self) -> Result<SoundFont, SoundError> {
        let opened = self.opened.lock().unwrap_or_else(PoisonError::into_inner).take();
        opened.map_or_else(|| sounds::open(&self.source), Ok)
    }
}

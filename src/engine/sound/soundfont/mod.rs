//! SoundFont files: checked before use, and read only as far as they are used.
//!
//! A file's tables are read and checked when it is opened; sample data are read region by
//! region when a note first needs them. So a large file costs what is played of it, and nothing
//! unchecked reaches the synthesiser.
//!
//! Written here because `soundfont` 0.1 panics where a table points outside the next one
//! (`zones.get(j).unwrap()`), and rustysynth reads all samples of a file into memory.

mod generators;
mod identity;
mod info;
mod regions;
mod riff;
mod tables;

use std::io::{Read, SeekFrom, Take};
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

pub(crate) use generators::{Generator, Settings};
pub use info::SoundFontInfo;
pub(crate) use regions::{LoopMode, Region, SampleSpan};
pub use riff::SoundFontSource;

use crate::performance::Instrument;
use crate::sound::SoundError;
use tables::Tables;

/// What the SoundFont that Countoff carries says of itself: its name.
const EMBEDDED_NAME: &str = "Countoff Trio";

/// A SoundFont whose tables are sound.
pub struct SoundFont {
    info: SoundFontInfo,
    tables: Tables,
    /// First byte of the sample data in the source.
    samples_at: u64,
    /// How many 16-bit samples there are.
    sample_count: u64,
    source: Mutex<Box<dyn SoundFontSource>>,
}

/// A preset's place and name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PresetName {
    /// Its General MIDI number.
    pub instrument: Instrument,
    /// Its name in the file.
    pub name: String,
}

impl SoundFont {
    /// Reads and checks the tables of a SoundFont.
    ///
    /// # Errors
    /// When it cannot be read, is something else, is cut short, compressed, or contradicts itself.
    pub fn open(source: impl SoundFontSource + 'static) -> Result<SoundFont, SoundError> {
        let mut source: Box<dyn SoundFontSource> = Box::new(source);
        let file = riff::outermost(&mut source)?;
        let (mut info, mut samples, mut tables) = (Vec::new(), None, Vec::new());
        for chunk in riff::inside(&mut source, &file)? {
            let Some(list) = riff::list_content(&mut source, &chunk)? else { continue };
            match &list.name {
                b"INFO" => info = riff::inside(&mut source, &list)?,
                b"sdta" => {
                    samples = riff::inside(&mut source, &list)?
                        .into_iter()
                        .find(|chunk| chunk.name == *b"smpl");
                }
                b"pdta" => tables = riff::inside(&mut source, &list)?,
                _ => {}
            }
        }
        let Some(samples) = samples.filter(|chunk| chunk.length >= 2) else {
            return Err(SoundError::Damaged("it holds no samples".to_owned()));
        };
        let info = SoundFontInfo::read(&mut source, &info)?;
        if riff::content(&mut source, &riff::Chunk { length: 4.min(samples.length), ..samples })?
            == b"OggS"
        {
            return Err(SoundError::Compressed("Ogg Vorbis".to_owned()));
        }
        let tables = Tables::read(&mut source, &tables)?;
        Ok(SoundFont {
            info,
            tables,
            samples_at: samples.start,
            sample_count: samples.length / 2,
            source: Mutex::new(source),
        })
    }

    /// What the file says of itself.
    #[must_use]
    pub fn info(&self) -> &SoundFontInfo {
        &self.info
    }

    /// Whether further recordings of strokes lie on keys that General MIDI leaves free. In other files
    /// these are other instruments: bells and castanets in the ride's place.
    pub(crate) fn has_variants(&self) -> bool {
        self.info.name == EMBEDDED_NAME
    }

    /// All presets, by bank, then program.
    #[must_use]
    pub fn presets(&self) -> Vec<PresetName> {
        let mut presets: Vec<PresetName> = self
            .tables
            .presets
            .iter()
            .filter_map(|preset| {
                let program = u8::try_from(preset.program).ok()?;
                let instrument = Instrument { bank: preset.bank, program };
                Some(PresetName { instrument, name: preset.name.clone() })
            })
            .collect();
        presets.sort_by_key(|preset| preset.instrument);
        presets
    }

    /// The regions of a preset.
    ///
    /// # Errors
    /// When there is no such preset, or its zones or samples contradict the file.
    pub(crate) fn regions(&self, instrument: Instrument) -> Result<Vec<Region>, SoundError> {
        let wanted = (instrument.bank, u16::from(instrument.program));
        let preset = self
            .tables
            .presets
            .iter()
            .position(|preset| (preset.bank, preset.program) == wanted)
            .ok_or_else(|| self.missing(instrument))?;
        regions::of_preset(&self.tables, preset, self.sample_count)
    }

    /// The first `most` samples of a span, or all of them. They are read each time: most notes need
    /// little of a long sample, and the system keeps what is read often.
    ///
    /// # Errors
    /// When the source cannot be read any more.
    pub(crate) fn samples(&self, span: &SampleSpan, most: usize) -> Result<Vec<i16>, SoundError> {
        let most = u32::try_from(most).unwrap_or(u32::MAX);
        let end = span.end.min(span.start.saturating_add(most));
        /// Bytes read at a time.
        const PIECE: usize = 1 << 16;
        /// Samples for which there is room before they are read: a damaged file may promise more than
        /// there are.
        const PROMISED: usize = 1 << 22;
        let count = usize::try_from(end - span.start).unwrap_or(usize::MAX);
        let mut samples = Vec::with_capacity(count.min(PROMISED));
        self.read_samples(&(span.start..end), |mut data| {
            let mut piece = Vec::with_capacity(PIECE.min(2 * count));
            let mut found = 0;
            loop {
                piece.clear();
                let read = data.by_ref().take(PIECE as u64).read_to_end(&mut piece)?;
                if read == 0 {
                    return Ok(found);
                }
                let (pairs, _) = piece.as_chunks::<2>();
                samples.extend(pairs.iter().map(|pair| i16::from_le_bytes(*pair)));
                found += read as u64;
            }
        })?;
        Ok(samples)
    }

    /// Has a stretch of sample data read by `read`, which returns how many bytes it read.
    fn read_samples(
        &self,
        stretch: &Range<u32>,
        read: impl FnOnce(Take<&mut Box<dyn SoundFontSource>>) -> std::io::Result<u64>,
    ) -> Result<(), SoundError> {
        let start = self.samples_at + 2 * u64::from(stretch.start);
        let length = 2 * u64::from(stretch.end - stretch.start);
        // A thread that panicked while it read leaves nothing half-done behind.
        let mut source = self.source.lock().unwrap_or_else(PoisonError::into_inner);
        source.seek(SeekFrom::Start(start))?;
        let found = read(source.by_ref().take(length))?;
        let (part, expected) = ("the sample data".to_owned(), start + length);
        if found == length {
            Ok(())
        } else {
            Err(SoundError::CutShort { part, expected, found: start + found })
        }
    }

    /// The error that says what there is instead.
    fn missing(&self, instrument: Instrument) -> SoundError {
        let presets = self.presets();
        let distance = |preset: &PresetName| {
            (
                preset.instrument.bank.abs_diff(instrument.bank),
                preset.instrument.program.abs_diff(instrument.program),
            )
        };
        let hint = match presets.iter().min_by_key(|preset| distance(preset)) {
            None => "it has no presets at all".to_owned(),
            Some(nearest) => {
                let all: Vec<String> = presets.iter().take(8).map(ToString::to_string).collect();
                let more = if presets.len() > 8 { ", …" } else { "" };
                format!("the nearest is {nearest}; it holds {}{more}", all.join(", "))
            }
        };
        SoundError::MissingPreset { instrument, hint }
    }
}

impl std::fmt::Display for PresetName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}`", self.name)?;
        write!(
            f,
            " (bank {}, program {})",
            self.instrument.bank,
            u16::from(self.instrument.program) + 1
        )
    }
}

impl std::fmt::Debug for SoundFont {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SoundFont").field("info", &self.info).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests;

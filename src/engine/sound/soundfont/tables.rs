//! The nine tables of a SoundFont's `pdta` list, as plain records.
//!
//! Layouts: SoundFont Technical Specification 2.04, section 7.

use super::riff::{self, Chunk, ChunkName, SoundFontSource};
use crate::sound::SoundError;

/// The most records of a table: other tables point at them by 16 bits.
const MOST_RECORDS: u64 = 1 << 16;

/// A preset's name and number, and where its zones are.
#[derive(Debug, Clone)]
pub(super) struct PresetHeader {
    pub(super) name: String,
    pub(super) program: u16,
    pub(super) bank: u16,
    pub(super) zones: std::ops::Range<usize>,
}

/// An instrument's name and where its zones are.
#[derive(Debug, Clone)]
pub(super) struct InstrumentHeader {
    pub(super) name: String,
    pub(super) zones: std::ops::Range<usize>,
}

/// One setting: which, and its 16 bits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Setting {
    pub(super) generator: u16,
    pub(super) amount: u16,
}

/// A sample's place, loop and pitch; positions count samples from the start of `smpl`.
#[derive(Debug, Clone)]
pub(super) struct SampleHeader {
    pub(super) name: String,
    pub(super) start: u32,
    pub(super) end: u32,
    pub(super) loop_start: u32,
    pub(super) loop_end: u32,
    /// Hertz.
    pub(super) rate: u32,
    /// MIDI note number of the recorded pitch.
    pub(super) root_key: u8,
    /// Cents to add.
    pub(super) correction: i8,
}

/// All tables, with every index checked.
#[derive(Debug)]
pub(super) struct Tables {
    pub(super) presets: Vec<PresetHeader>,
    /// Settings of each preset zone, as a range of `preset_settings`.
    pub(super) preset_zones: Vec<std::ops::Range<usize>>,
    pub(super) preset_settings: Vec<Setting>,
    pub(super) instruments: Vec<InstrumentHeader>,
    pub(super) instrument_zones: Vec<std::ops::Range<usize>>,
    pub(super) instrument_settings: Vec<Setting>,
    pub(super) samples: Vec<SampleHeader>,
}

impl Tables {
    pub(super) fn read(
        source: &mut dyn SoundFontSource,
        chunks: &[Chunk],
    ) -> Result<Tables, SoundError> {
        let mut table = |name: ChunkName, size: usize| {
            let chunk = chunks.iter().find(|chunk| chunk.name == name).ok_or_else(|| {
                SoundError::Damaged(format!("its table `{}` is missing", riff::readable(name)))
            })?;
            if chunk.length > MOST_RECORDS * size as u64 {
                return Err(SoundError::Damaged(format!(
                    "its table `{}` has more than {MOST_RECORDS} records",
                    riff::readable(name)
                )));
            }
            records(name, size, riff::content(source, chunk)?)
        };
        let preset_rows = table(*b"phdr", 38)?;
        let preset_bags = table(*b"pbag", 4)?;
        let preset_settings = table(*b"pgen", 4)?;
        let instrument_rows = table(*b"inst", 22)?;
        let instrument_bags = table(*b"ibag", 4)?;
        let instrument_settings = table(*b"igen", 4)?;
        let sample_rows = table(*b"shdr", 46)?;

        let preset_starts: Vec<usize> =
            preset_rows.iter().map(|row| word(row, 24).into()).collect();
        let presets = preset_rows
            .iter()
            .zip(spans("phdr", &preset_starts, preset_bags.len().saturating_sub(1))?)
            .map(|(row, zones)| PresetHeader {
                name: text(row),
                program: word(row, 20),
                bank: word(row, 22),
                zones,
            })
            .collect();
        let instrument_starts: Vec<usize> =
            instrument_rows.iter().map(|row| word(row, 20).into()).collect();
        let instruments = instrument_rows
            .iter()
            .zip(spans("inst", &instrument_starts, instrument_bags.len().saturating_sub(1))?)
            .map(|(row, zones)| InstrumentHeader { name: text(row), zones })
            .collect();
        let samples = sample_rows[..sample_rows.len().saturating_sub(1)]
            .iter()
            .map(|row| sample(row))
            .collect();
        Ok(Tables {
            presets,
            preset_zones: zones("pbag", &preset_bags, preset_settings.len())?,
            preset_settings: preset_settings.iter().map(|row| setting(row)).collect(),
            instruments,
            instrument_zones: zones("ibag", &instrument_bags, instrument_settings.len())?,
            instrument_settings: instrument_settings.iter().map(|row| setting(row)).collect(),
            samples,
        })
    }
}

/// A table cut into its records; each table has at least its closing record.
fn records(name: ChunkName, size: usize, bytes: Vec<u8>) -> Result<Vec<Vec<u8>>, SoundError> {
    if bytes.is_empty() || !bytes.len().is_multiple_of(size) {
        return Err(SoundError::Damaged(format!(
            "its table `{}` is {} bytes long, which is no number of {size}-byte records",
            riff::readable(name),
            bytes.len()
        )));
    }
    Ok(bytes.chunks_exact(size).map(<[u8]>::to_vec).collect())
}

/// From where each record's share of the next table starts to where it ends: at the start of the
/// following record's share. The last record only closes the list.
fn spans(
    table: &str,
    starts: &[usize],
    limit: usize,
) -> Result<Vec<std::ops::Range<usize>>, SoundError> {
    starts
        .windows(2)
        .enumerate()
        .map(|(row, pair)| match *pair {
            [start, end] if start <= end && end <= limit => Ok(start..end),
            _ => Err(SoundError::Damaged(format!(
                "row {row} of its table `{table}` points outside the next table"
            ))),
        })
        .collect()
}

fn zones(
    table: &str,
    bags: &[Vec<u8>],
    settings: usize,
) -> Result<Vec<std::ops::Range<usize>>, SoundError> {
    let starts: Vec<usize> = bags.iter().map(|row| word(row, 0).into()).collect();
    spans(table, &starts, settings)
}

fn setting(row: &[u8]) -> Setting {
    Setting { generator: word(row, 0), amount: word(row, 2) }
}

fn sample(row: &[u8]) -> SampleHeader {
    SampleHeader {
        name: text(row),
        start: long(row, 20),
        end: long(row, 24),
        loop_start: long(row, 28),
        loop_end: long(row, 32),
        rate: long(row, 36),
        root_key: byte(row, 40),
        correction: byte(row, 41).cast_signed(),
    }
}

fn byte(row: &[u8], at: usize) -> u8 {
    row.get(at).copied().unwrap_or(0)
}

fn word(row: &[u8], at: usize) -> u16 {
    u16::from_le_bytes([byte(row, at), byte(row, at + 1)])
}

fn long(row: &[u8], at: usize) -> u32 {
    u32::from(word(row, at)) | u32::from(word(row, at + 2)) << 16
}

/// The twenty bytes of a name, up to the first zero.
fn text(row: &[u8]) -> String {
    super::info::until_zero(row.get(..20).unwrap_or_default())
}

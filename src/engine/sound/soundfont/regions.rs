//! Zones become regions: what sounds on which keys at which velocities.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::generators::{Generator, Settings};
use super::tables::{SampleHeader, Setting, Tables};
use crate::sound::SoundError;

/// How a sample goes on after its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum LoopMode {
    /// It plays once.
    Once,
    /// Its loop goes round for ever.
    Always,
    /// Its loop goes round until the key is let go; then it plays on to its end.
    UntilRelease,
}

/// The stretch of sample data that a region plays.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct SampleSpan {
    /// First sample, from the start of `smpl`.
    pub(crate) start: u32,
    /// One after the last.
    pub(crate) end: u32,
    /// The loop, within `start` to `end`.
    pub(crate) looped: Option<std::ops::Range<u32>>,
    /// Hertz.
    pub(crate) rate: u32,
}

/// One preset zone and one instrument zone joined: a voice that notes can call on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct Region {
    keys: RangeInclusive<u8>,
    velocities: RangeInclusive<u8>,
    /// All values, preset and instrument added.
    pub(crate) settings: Settings,
    pub(crate) sample: SampleSpan,
    pub(crate) loop_mode: LoopMode,
    /// The key that plays the sample at its recorded pitch.
    pub(crate) root_key: u8,
}

impl Region {
    pub(crate) fn keys(&self) -> &RangeInclusive<u8> {
        &self.keys
    }

    pub(crate) fn velocities(&self) -> &RangeInclusive<u8> {
        &self.velocities
    }
}

/// The most pairs of zones that are looked at for one preset. The piano of the embedded file has 133,672;
/// a damaged file may have every zone of a preset play every zone of an instrument.
const MOST_PAIRS: usize = 1 << 20;
/// The most regions of a preset; each takes some hundred bytes.
const MOST_REGIONS: usize = 1 << 16;

/// All regions of a preset, in the order of the file.
pub(super) fn of_preset(
    tables: &Tables,
    preset: usize,
    sample_count: u64,
) -> Result<Vec<Region>, SoundError> {
    let preset_header = &tables.presets[preset];
    let zones = local_zones(
        &tables.preset_zones[preset_header.zones.clone()],
        &tables.preset_settings,
        Generator::Instrument,
        &Settings::preset_defaults(),
    );
    let mut regions = Vec::new();
    let mut pairs = 0;
    // Many zones of a preset play the same instrument.
    let mut known: BTreeMap<usize, Vec<LocalZone>> = BTreeMap::new();
    for zone in zones {
        let instrument = usize::from(zone.target);
        let Some(header) = tables.instruments.get(instrument) else {
            return Err(SoundError::Damaged(format!(
                "preset `{}` plays instrument number {instrument}, of {}",
                preset_header.name,
                tables.instruments.len()
            )));
        };
        let inner_zones = known.entry(instrument).or_insert_with(|| {
            local_zones(
                &tables.instrument_zones[header.zones.clone()],
                &tables.instrument_settings,
                Generator::SampleId,
                &Settings::instrument_defaults(),
            )
        });
        pairs += inner_zones.len();
        if pairs > MOST_PAIRS {
            return Err(SoundError::Damaged(format!(
                "preset `{}` has more than {MOST_PAIRS} pairs of zones",
                preset_header.name
            )));
        }
        for inner in inner_zones {
            let (Some(keys), Some(velocities)) =
                (overlap(&zone.keys, &inner.keys), overlap(&zone.velocities, &inner.velocities))
            else {
                continue;
            };
            let Some(sample) = tables.samples.get(usize::from(inner.target)) else {
                return Err(SoundError::Damaged(format!(
                    "instrument `{}` plays sample number {}, of {}",
                    header.name,
                    inner.target,
                    tables.samples.len()
                )));
            };
            if regions.len() >= MOST_REGIONS {
                return Err(SoundError::Damaged(format!(
                    "preset `{}` has more than {MOST_REGIONS} regions",
                    preset_header.name
                )));
            }
            let settings = inner.settings.with_preset(&zone.settings);
            let (span, loop_mode) = span(sample, &settings, sample_count)?;
            let root_key = u8::try_from(settings.get(Generator::RootKey))
                .ok()
                .filter(|key| *key < 128)
                .unwrap_or(sample.root_key.min(127));
            let mut settings = settings;
            let tuning = settings.get(Generator::FineTune) + i32::from(sample.correction);
            settings.set(Generator::FineTune, tuning);
            regions.push(Region { keys, velocities, settings, sample: span, loop_mode, root_key });
        }
    }
    Ok(regions)
}

/// A zone that plays something.
struct LocalZone {
    settings: Settings,
    keys: RangeInclusive<u8>,
    velocities: RangeInclusive<u8>,
    /// Instrument or sample number.
    target: u16,
}

/// The zones that end in `target`, upon the values of a global zone where the first is one.
fn local_zones(
    zones: &[std::ops::Range<usize>],
    settings: &[Setting],
    target: Generator,
    defaults: &Settings,
) -> Vec<LocalZone> {
    let mut base = defaults.clone();
    let mut base_ranges = (0..=127, 0..=127);
    let mut local = Vec::new();
    for (index, zone) in zones.iter().enumerate() {
        let own = &settings[zone.clone()];
        let target = own.last().filter(|last| last.generator == target as u16);
        let mut ranges = base_ranges.clone();
        for setting in own {
            if setting.generator == Generator::KeyRange as u16 {
                ranges.0 = range(setting.amount);
            } else if setting.generator == Generator::VelocityRange as u16 {
                ranges.1 = range(setting.amount);
            }
        }
        match target {
            Some(target) => {
                let mut settings = base.clone();
                settings.apply(own);
                let target = target.amount;
                local.push(LocalZone { settings, keys: ranges.0, velocities: ranges.1, target });
            }
            None if index == 0 => {
                base.apply(own);
                base_ranges = ranges;
            }
            // The specification has a later zone without target ignored.
            None => {}
        }
    }
    local
}

/// Low byte and high byte are the ends of a range.
fn range(amount: u16) -> RangeInclusive<u8> {
    let [low, high] = amount.to_le_bytes();
    low..=high
}

fn overlap(a: &RangeInclusive<u8>, b: &RangeInclusive<u8>) -> Option<RangeInclusive<u8>> {
    let both = *a.start().max(b.start())..=*a.end().min(b.end());
    (!both.is_empty()).then_some(both)
}

/// Where a zone's sample data lie, checked against all there are.
fn span(
    sample: &SampleHeader,
    settings: &Settings,
    sample_count: u64,
) -> Result<(SampleSpan, LoopMode), SoundError> {
    let moved = |position: u32, fine: Generator, coarse: Generator| {
        let offset = i64::from(settings.get(fine)) + 32_768 * i64::from(settings.get(coarse));
        u32::try_from(i64::from(position) + offset).ok()
    };
    let start = moved(sample.start, Generator::StartOffset, Generator::StartCoarseOffset);
    let end = moved(sample.end, Generator::EndOffset, Generator::EndCoarseOffset);
    let loop_start =
        moved(sample.loop_start, Generator::LoopStartOffset, Generator::LoopStartCoarseOffset);
    let loop_end = moved(sample.loop_end, Generator::LoopEndOffset, Generator::LoopEndCoarseOffset);
    let (Some(start), Some(end)) = (start, end) else {
        return Err(outside(sample));
    };
    if start >= end || u64::from(end) > sample_count {
        return Err(outside(sample));
    }
    if !(400..=192_000).contains(&sample.rate) {
        return Err(SoundError::Damaged(format!(
            "sample `{}` has a rate of {} Hz",
            sample.name, sample.rate
        )));
    }
    let looped = match (loop_start, loop_end) {
        (Some(from), Some(to)) if start <= from && from < to && u64::from(to) <= sample_count => {
            Some(from..to)
        }
        _ => None,
    };
    // A loop that cannot be played makes the sample play once, as other players have it.
    let loop_mode = match (settings.get(Generator::SampleModes) & 3, &looped) {
        (1, Some(_)) => LoopMode::Always,
        (3, Some(_)) => LoopMode::UntilRelease,
        _ => LoopMode::Once,
    };
    let looped = looped.filter(|_| loop_mode != LoopMode::Once);
    let end = looped.as_ref().map_or(end, |range| end.max(range.end));
    Ok((SampleSpan { start, end, looped, rate: sample.rate }, loop_mode))
}

fn outside(sample: &SampleHeader) -> SoundError {
    SoundError::Damaged(format!("sample `{}` lies outside the sample data", sample.name))
}

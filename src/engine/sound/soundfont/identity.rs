//! What an instrument sounds like, as a hash: of what is used of the file, and of nothing else.

use std::collections::BTreeMap;
use std::hash::Hash;
use std::ops::Range;

use super::{Generator, Region, SoundFont};
use crate::content_hash::ContentHasher;
use crate::performance::Instrument;
use crate::sound::SoundError;

impl SoundFont {
    /// BLAKE3 of all that makes a preset's sound: its regions, and the sample data that they play.
    /// Where in the file these lie makes no difference, nor what else is in it.
    ///
    /// The data are read piece by piece, and not kept.
    ///
    /// # Errors
    /// When there is no such preset, its zones or samples contradict the file, or it cannot be read.
    pub fn hash_of(&self, instrument: Instrument) -> Result<[u8; 32], SoundError> {
        let mut regions = self.regions(instrument)?;
        let stretches = stretches(&regions);
        number_instruments(&mut regions);
        for region in &mut regions {
            region.settings.set(Generator::SampleId, 0);
            put_together(region, &stretches);
        }
        let mut hasher = ContentHasher::new();
        regions.hash(&mut hasher);
        // Which keys its strokes sound on.
        if instrument.is_percussion() {
            self.has_variants().hash(&mut hasher);
        }
        stretches
            .iter()
            .try_for_each(|stretch| self.read_samples(stretch, |data| hasher.read(data)))?;
        Ok(hasher.content())
    }
}

/// The stretches of sample data that regions play, in order, none touching another.
fn stretches(regions: &[Region]) -> Vec<Range<u32>> {
    let spans = regions.iter().map(|region| region.sample.start..region.sample.end);
    let mut spans: Vec<Range<u32>> = spans.collect();
    spans.sort_unstable_by_key(|span| (span.start, span.end));
    let mut stretches: Vec<Range<u32>> = Vec::new();
    for span in spans {
        match stretches.last_mut() {
            Some(last) if span.start <= last.end => last.end = last.end.max(span.end),
            _ => stretches.push(span),
        }
    }
    stretches
}

/// Numbers instruments anew, in the order of their first regions: which number one has in the file
/// makes no difference, but whether two regions are of one does.
fn number_instruments(regions: &mut [Region]) {
    let mut known: BTreeMap<i32, i32> = BTreeMap::new();
    let mut next = 0;
    for region in regions {
        let number = region.settings.get(Generator::Instrument);
        let place = *known.entry(number).or_insert_with(|| {
            next += 1;
            next - 1
        });
        region.settings.set(Generator::Instrument, place);
    }
}

/// Moves a region to where its samples would be if there were none but these stretches.
fn put_together(region: &mut Region, stretches: &[Range<u32>]) {
    let sample = &mut region.sample;
    let mut before = 0;
    for stretch in stretches {
        if stretch.contains(&sample.start) {
            let back = stretch.start - before;
            let moved = |range: &Range<u32>| range.start - back..range.end - back;
            sample.looped = sample.looped.as_ref().map(moved);
            (sample.start, sample.end) = (sample.start - back, sample.end - back);
            return;
        }
        before += stretch.end - stretch.start;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::performance::Part;
    use crate::performance::TempoMap;
    use crate::performance::{PerformedNote, PerformedPart};
    use crate::sound::tests::tiny_font::{Sample, TinyFont, Zone, range, sine};
    use crate::sound::{Sounds, StoreBudget};
    use crate::units::{Frames, SampleRate, Tempo, Ticks, Velocity};
    use rand::Rng as _;

    const PIANO: Instrument = Instrument { bank: 0, program: 0 };

    fn sample(hertz: f64) -> Sample {
        let data = sine(hertz, 0.5, 44_100, 2_000);
        Sample { data, looped: 500..1_500, rate: 44_100, root_key: 69 }
    }

    /// Two zones with a sample each, below and from key 60.
    fn font() -> TinyFont {
        let zone = |sample, low, high| {
            let settings = vec![(Generator::KeyRange, range(low, high))];
            Zone { sample, settings }
        };
        TinyFont {
            samples: vec![sample(440.0), sample(450.0)],
            zones: vec![zone(0, 0, 59), zone(1, 60, 127)],
            presets: vec![(0, 0), (0, 1)],
            ..TinyFont::default()
        }
        .with(Generator::SampleModes, 1)
    }

    fn hash(font: &TinyFont) -> [u8; 32] {
        font.open().hash_of(PIANO).unwrap()
    }

    #[test]
    fn what_is_not_heard_makes_no_difference() {
        let mut other = font();
        // A sample before all others, which no zone plays, and a preset more.
        other.samples.insert(0, sample(100.0));
        other.zones.iter_mut().for_each(|zone| zone.sample += 1);
        other.presets.push((0, 2));
        assert_eq!(hash(&other), hash(&font()));
        // The end of a sample after its loop.
        let mut other = font();
        other.samples[1].data[1_999] = 0;
        assert_ne!(hash(&other), hash(&font()), "a sample counts as a whole");
        // A sample that lies between the two.
        other = font();
        other.samples.insert(1, sample(100.0));
        other.zones[1].sample = 2;
        assert_eq!(hash(&other), hash(&font()));
    }

    #[test]
    fn what_is_heard_makes_a_difference() {
        let changes: [fn(&mut TinyFont); 9] = [
            |font| font.samples[0].data[700] += 1,
            |font| font.samples[1].data[0] += 1,
            |font| font.samples[1].looped = 500..1_499,
            |font| font.samples[1].rate = 44_099,
            |font| font.samples[0].root_key = 70,
            |font| font.zones[0].settings.push((Generator::FineTune, 1)),
            |font| font.zones[0].settings.push((Generator::VelocityRange, range(0, 100))),
            |font| font.zones.swap(0, 1),
            |font| font.zones[1].sample = 0,
        ];
        let mut hashes = vec![hash(&font())];
        for change in changes {
            let mut changed = font();
            change(&mut changed);
            hashes.push(hash(&changed));
        }
        let all: std::collections::BTreeSet<_> = hashes.iter().collect();
        assert_eq!(all.len(), hashes.len());
    }

    /// What a file sounds like, if it can be played at all.
    fn heard(bytes: &[u8]) -> Option<([u8; 32], Vec<f32>)> {
        let font = SoundFont::open(std::io::Cursor::new(bytes.to_vec())).ok()?;
        let hash = font.hash_of(PIANO).ok()?;
        let rate = SampleRate::Hz44100;
        let sounds = Sounds::new(font, &[PIANO], rate, StoreBudget::default()).ok()?;
        let notes = [30, 59, 60, 69, 100].map(|pitch| PerformedNote {
            on: Ticks(0),
            off: Ticks(100),
            pitch,
            velocity: Velocity::clamped(pitch.into()),
            variant: 0,
        });
        let part = PerformedPart { part: Part::Comp, instrument: PIANO, notes: notes.to_vec() };
        let tempo = TempoMap::constant(Tempo(500_000));
        let mut stem = sounds.stem(&part, &tempo, Frames(0)).ok()?;
        let (mut left, mut right) = (vec![0.0; 4_000], vec![0.0; 4_000]);
        stem.add_block(&mut left, &mut right).ok()?;
        left.extend(right);
        Some((hash, left))
    }

    /// Whatever is changed in a file: where it is heard, the hash is another.
    #[test]
    fn no_change_is_heard_under_the_same_hash() {
        let bytes = font().bytes();
        let (hash, sound) = heard(&bytes).unwrap();
        let mut random = rand_pcg::Pcg64Mcg::new(7);
        let (mut same, mut other) = (0, 0);
        for _ in 0..1_500 {
            let mut changed = bytes.clone();
            // Most of the file is sample data; the tables at its end come in for half the changes.
            let size = bytes.len() as u64;
            let near = if random.next_u64().is_multiple_of(2) { size } else { 900 };
            let at = usize::try_from(size - 1 - random.next_u64() % near).unwrap();
            changed[at] ^= 1 << (random.next_u64() % 8);
            let Some((changed_hash, changed_sound)) = heard(&changed) else { continue };
            if changed_hash == hash {
                same += 1;
                assert!(changed_sound == sound, "byte {at}");
            } else {
                other += 1;
            }
        }
        assert!(same > 100 && other > 400, "{same} alike, {other} others");
    }
}

//! Mixes taken apart: a band at so low a target that no limiter acts, so that a mix less another
//! is what the two do not share. The ranges are those that the set promises: the click 6 to 12 LU
//! under the programme and at most -6 dBFS, the count-in never above the programme.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use countoff::performance::Part::{self, Bass, Comp, Drums};
use countoff::plan::SoundPlan;
use ebur128::{EbuR128, Mode};
use tempfile::TempDir;

use super::harness::rendered;

const LESSON: &str = r#"
    format = 1
    title = "Taken apart in the hall"
    tempos = [180]
    [level]
    target = -24
    [files]
    bits = 24
    [[chart]]
    name = "cadence"
    key = "Gm"
    A = "| Am7b5 | D7b9 | Gm6 | % |"
    [[track]]
    name = "band"
    chart = "cadence"
    comp = "rootless"
    bass = "walking"
    drums = "ride"
    choruses = 2
    stems = true
    mixes = [
        {}, { count-in = false }, { click = true, count-in = false },
        { without = ["bass"], count-in = false },
    ]
"#;

/// Every file with what it holds, left and right in turn.
static FILES: LazyLock<Vec<(SoundPlan, Vec<f64>)>> = LazyLock::new(|| {
    let folder = TempDir::new().unwrap();
    let plan = rendered(LESSON, folder.path());
    let read = |sound: &SoundPlan| {
        let mut reader = hound::WavReader::open(folder.path().join(&sound.path)).unwrap();
        assert_eq!((reader.spec().bits_per_sample, reader.spec().sample_rate), (24, 44_100));
        let full_scale = f64::from(1 << 23);
        let samples = reader.samples::<i32>().map(|sample| f64::from(sample.unwrap()) / full_scale);
        // In step with the take, where a file begins later than it.
        let before = usize::try_from(2 * sound.begins.0).unwrap();
        (sound.clone(), std::iter::repeat_n(0.0, before).chain(samples).collect())
    };
    plan.takes[0].sounds.iter().map(read).collect()
});

fn mix(index: usize) -> &'static [f64] {
    &FILES[index].1
}

fn stem(part: Part) -> &'static [f64] {
    let alone = BTreeSet::from([part]);
    let is_it = |(sound, _): &&(SoundPlan, Vec<f64>)| sound.mix.stem && sound.mix.parts == alone;
    &FILES.iter().find(is_it).unwrap().1
}

fn difference(one: &[f64], other: &[f64]) -> Vec<f64> {
    assert_eq!(one.len(), other.len());
    one.iter().zip(other).map(|(one, other)| one - other).collect()
}

fn peak(samples: &[f64]) -> f64 {
    samples.iter().fold(0.0, |peak, sample| peak.max(sample.abs()))
}

/// The loudest 400 ms, moved on by a tenth of a second at a time (EBU Tech 3341).
fn loudest_moment(samples: &[f64]) -> f64 {
    let mut meter = EbuR128::new(2, 44_100, Mode::M).unwrap();
    let mut loudest = f64::NEG_INFINITY;
    for hop in samples.chunks(2 * 4_410) {
        meter.add_frames_f64(hop).unwrap();
        loudest = loudest.max(meter.loudness_momentary().unwrap());
    }
    loudest
}

fn programme() -> f64 {
    let mut meter = EbuR128::new(2, 44_100, Mode::I).unwrap();
    meter.add_frames_f64(mix(1)).unwrap();
    meter.loudness_global().unwrap()
}

/// To the rounding of four files to 24 bits. One gain serves the mixes of a take: the mix without
/// the bass is the same stems less one.
#[test]
fn stems_sum_to_their_mixes_at_one_gain() {
    let rounding = 4.0 / f64::from(1 << 23);
    for (index, parts) in [(1, &[Comp, Bass, Drums][..]), (3, &[Comp, Drums][..])] {
        let left =
            parts.iter().fold(mix(index).to_vec(), |left, &part| difference(&left, stem(part)));
        assert!(peak(&left) <= rounding, "mix {index}: {}", peak(&left));
    }
}

#[test]
fn the_click_lies_six_to_twelve_under_the_programme() {
    let click = difference(mix(2), mix(1));
    let under = programme() - loudest_moment(&click);
    assert!((6.0..=12.0).contains(&under), "{under} LU");
    assert!(20.0 * peak(&click).log10() <= -6.0);
}

#[test]
fn the_count_in_is_heard_and_never_exceeds_the_programme() {
    let count_in = loudest_moment(&difference(mix(0), mix(1)));
    assert!(count_in > programme() - 20.0 && count_in <= programme(), "{count_in} LUFS");
}

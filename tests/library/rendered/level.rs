//! Levels of finished files, by the `ebur128` library; targets after AES TD1008 (2021): -16 LUFS
//! for music tracks and -1 dBTP. Files are read back by `hound`.

use std::sync::LazyLock;

use countoff::performance::Part;
use countoff::plan::{SoundPlan, TakePlan};
use countoff::render::LEADING_SILENCE;
use ebur128::{EbuR128, Mode};
use tempfile::TempDir;

use super::harness::rendered;

const LESSON: &str = r#"
    format = 1
    title = "Levels in the hall"
    tempos = [60]
    [files]
    bits = 32
    rate = 48000
    [[chart]]
    name = "cadence"
    key = "Gm"
    A = "| Am7b5 | D7b9 | Gm6 | % |"
    [[track]]
    name = "left hand"
    chart = "cadence"
    comp = "shells"
    mixes = [{}, { count-in = false }]
    [[track]]
    name = "band"
    chart = "cadence"
    comp = "rootless"
    bass = "walking"
    drums = "ride"
    tempos = [160]
    stems = true
    mixes = [{}, { count-in = false }, { without = ["bass"] }, { without = ["comp", "bass", "drums"], click = true, count-in = false }]
"#;

struct File {
    /// A stem, and of which part.
    stem: Option<Part>,
    spec: hound::WavSpec,
    samples: Vec<f32>,
}

/// Everything rendered once: the files of each take, in the order of its mixes.
static FILES: LazyLock<Vec<Vec<File>>> = LazyLock::new(|| files(LESSON));

fn files(lesson: &str) -> Vec<Vec<File>> {
    let folder = TempDir::new().unwrap();
    let plan = rendered(lesson, folder.path());
    let read = |sound: &SoundPlan| {
        let mut reader = hound::WavReader::open(folder.path().join(&sound.path)).unwrap();
        let samples = reader.samples::<f32>().map(Result::unwrap).collect();
        let stem = sound.mix.stem.then(|| *sound.mix.parts.first().unwrap());
        File { stem, spec: reader.spec(), samples }
    };
    let take = |take: &TakePlan| take.sounds.iter().map(read).collect();
    plan.takes.iter().map(take).collect()
}

impl File {
    fn loudness_and_peak(&self) -> (f64, f64) {
        let mut meter = EbuR128::new(2, self.spec.sample_rate, Mode::I | Mode::TRUE_PEAK).unwrap();
        meter.add_frames_f32(&self.samples).unwrap();
        let peak = meter.true_peak(0).unwrap().max(meter.true_peak(1).unwrap());
        (meter.loudness_global().unwrap(), 20.0 * peak.log10())
    }
}

#[test]
fn the_programme_is_at_its_target_and_no_file_peaks_above_the_ceiling() {
    for take in FILES.iter() {
        let (programme, _) = take[1].loudness_and_peak();
        assert!((programme + 16.0).abs() <= 0.2, "{programme} LUFS");
        for file in take.iter().filter(|file| file.stem.is_none()) {
            let (_, peak) = file.loudness_and_peak();
            assert!(peak <= -1.0, "{peak} dBTP");
        }
    }
}

#[test]
fn a_click_alone_keeps_its_own_peak() {
    let click = &FILES[1][3];
    let peak = click.samples.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
    assert!(peak > 0.01 && 20.0 * peak.log10() <= -6.0, "{peak}");
}

#[test]
fn files_are_float_at_48_khz_and_begin_and_end_in_silence() {
    let lead = usize::try_from(LEADING_SILENCE.0).unwrap() * 2;
    for file in FILES.iter().flatten() {
        assert_eq!((file.spec.sample_rate, file.spec.bits_per_sample), (48_000, 32));
        assert_eq!(file.spec.sample_format, hound::SampleFormat::Float);
        assert!(file.samples[..lead].iter().all(|sample| sample.abs() < 1e-9));
        // A twentieth of a second below -80 dBFS, the last frame nothing.
        let end = &file.samples[file.samples.len() - 4_800..];
        assert!(end.iter().all(|sample| sample.abs() < 1e-4));
        assert!(end[end.len() - 2..].iter().all(|sample| sample.abs() < 1e-8));
    }
}

/// What the limiter took is the mix over the sum of its stems, sample by sample: at most 3 dB,
/// and never a gain (1e-5 dB: single precision, in which the ratio is taken).
#[test]
fn the_limiter_takes_at_most_three_decibels() {
    // So loud a target that the limiter has to work.
    let loud = LESSON.replace("    [files]", "    [level]\n    target = -12\n    [files]");
    let band = &files(&loud)[1];
    let mut before = vec![0.0_f32; band[0].samples.len()];
    for part in [Part::Comp, Part::Bass, Part::Drums] {
        let stem = band.iter().find(|file| file.stem == Some(part)).unwrap();
        before.iter_mut().zip(&stem.samples).for_each(|(sum, sample)| *sum += sample);
    }
    // The mix has no count-in and begins later than its stems.
    let before = &before[before.len() - band[1].samples.len()..];
    let pairs = before.iter().zip(&band[1].samples).filter(|(before, _)| before.abs() > 0.05);
    let ratios: Vec<f32> = pairs.map(|(before, after)| after / before).collect();
    let least = ratios.iter().fold(f32::MAX, |least, &ratio| least.min(ratio));
    let most = ratios.iter().fold(0.0_f32, |most, &ratio| most.max(ratio));
    let deepest = -20.0 * least.log10();
    println!("the limiter takes up to {deepest:.3} dB");
    assert!(deepest > 1.0 && deepest <= 3.0 + 1e-5, "{deepest} dB");
    assert!(most < 1.0 + 1e-4, "{most}");
}

//! What each stage costs, from text to a file, for a trio of twelve bars.
//!
//!     cargo bench --bench stages
//!
//! Times are comparable within a run only.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "a measurement, run by hand"
)]

use std::hint::black_box;
use std::io::Cursor;

use countoff::arrange::Timeline;
use countoff::codec::flac::FlacDepth;
use countoff::codec::wav::SampleFormat;
use countoff::deliver::{FileFormat, SoundFile, encoder};
use countoff::feel::{FeelSettings, perform};
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::mix::{
    BlockSink, Dither, Limiter, LoudnessMeter, MixSettings, MixSpec, RoomSource, StemSource,
    Studio, TruePeakMeter, render,
};
use countoff::part::comp::{self, CompSettings};
use countoff::part::{BandPlan, PlayContext};
use countoff::part::{bass, drums};
use countoff::performance::{Part, Performance, PerformedPart};
use countoff::plan::{Plan, Players, TakePlan};
use countoff::random::Stream;
use countoff::sound::{Room, Sounds, StemRenderer, StoreBudget};
use countoff::style::Library;
use countoff::units::{Decibels, Frames, SampleRate};
use divan::Bencher;

const LESSON: &str = r#"
format = 1
title = "Measured"
tempos = [144]
[[chart]]
name = "blues"
key = "F"
A = "| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | Am7 D7b9 | Gm7 | C7 | F7 D7b9 | Gm7 C7 |"
[[track]]
name = "trio"
chart = "blues"
comp = "rootless"
bass = "walking"
drums = "ride"
"#;

const RATE: SampleRate = SampleRate::Hz44100;
/// Ten seconds.
const LENGTH: usize = 441_000;
const BLOCK: usize = 4_096;

fn main() {
    divan::main();
}

fn lesson() -> Lesson {
    Lesson::read("lesson.toml", LESSON, &NoNeighbours, &Library::built_in()).ok().unwrap()
}

fn take() -> TakePlan {
    Plan::of(&lesson(), &Library::built_in(), |_| true).unwrap().takes.remove(0)
}

#[divan::bench]
fn parse() -> Lesson {
    lesson()
}

mod notes {
    use super::*;

    struct Band {
        timeline: Timeline,
        players: Players,
    }

    fn band() -> Band {
        let (lesson, library) = (lesson(), Library::built_in());
        let players = Players::of(&lesson, &lesson.tracks[0], &library).unwrap();
        Band { timeline: take().notes.timeline, players }
    }

    #[divan::bench]
    fn voice(bencher: Bencher) {
        let Band { timeline, players } = band();
        let (style, settings) = (players.comp.unwrap(), CompSettings::default());
        bencher.bench_local(|| comp::voice(&timeline, &style, &settings));
    }

    #[divan::bench]
    fn bass_line(bencher: Bencher) {
        let Band { timeline, players } = band();
        let style = players.bass.unwrap();
        let plan = BandPlan::level(&timeline);
        bencher.bench_local(|| bass::play(PlayContext::new(&timeline, &plan, 0), &style));
    }

    #[divan::bench]
    fn performance(bencher: Bencher) {
        let Band { timeline, players } = band();
        let (style, settings) = (players.comp.unwrap(), CompSettings::default());
        let (drum_style, intensity) = (players.drums.unwrap(), players.intensity);
        let voicings = comp::voice(&timeline, &style, &settings).unwrap();
        let plan = BandPlan::level(&timeline);
        let context = PlayContext::new(&timeline, &plan, 0);
        let parts = [
            comp::play(context, &style, &voicings),
            bass::play(context, &players.bass.unwrap()),
            drums::play(context, &drum_style, intensity),
        ];
        let feel = FeelSettings { seed: 0, deviations: true };
        bencher.bench_local(|| perform(&timeline, &parts, feel));
    }
}

mod note_store {
    use super::*;

    /// Every note made.
    #[divan::bench(sample_count = 10)]
    fn cold(bencher: Bencher) {
        let take = take().notes.performance;
        bencher.with_inputs(sounds).bench_local_values(|sounds| play_all(&sounds, &take));
    }

    /// Every note there.
    #[divan::bench(sample_count = 20)]
    fn warm(bencher: Bencher) {
        let (sounds, take) = (sounds(), take().notes.performance);
        play_all(&sounds, &take);
        bencher.bench_local(|| play_all(&sounds, &take));
    }

    fn play_all(sounds: &Sounds, take: &Performance) {
        let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
        for part in &take.parts {
            let mut stem = sounds.stem(part, &take.tempo, Frames::ZERO).unwrap();
            while !stem.is_done() {
                stem.add_block(&mut left, &mut right).unwrap();
            }
        }
        black_box((&left, &right));
    }
}

/// One mix of the trio, notes warm, with its room, meters and limiter, written nowhere.
#[divan::bench(sample_count = 10)]
fn mix(bencher: Bencher) {
    let (studio, take) = (Warm(sounds()), take().notes.performance);
    let mixes = [MixSpec::of(&[Part::Comp, Part::Bass, Part::Drums])];
    let settings = MixSettings::default();
    bencher.bench_local(|| {
        let (report, _) = render(&take, &studio, &mixes, &settings, |_, _| Ok(Nowhere)).unwrap();
        report
    });
}

/// Ten seconds of stereo noise through what every frame goes through.
mod ten_seconds {
    use super::*;

    #[divan::bench]
    fn reverb(bencher: Bencher) {
        let (noise, mut out) = (noise(), [vec![0.0; LENGTH], vec![0.0; LENGTH]]);
        bencher.with_inputs(|| Room::new(RATE)).bench_local_values(|mut room| {
            let [left, right] = &mut out;
            room.add(&noise[0], &noise[1], left, right);
        });
    }

    #[divan::bench]
    fn loudness_meter(bencher: Bencher) {
        let [left, right] = noise();
        bencher.bench_local(|| {
            let mut meter = LoudnessMeter::new(RATE);
            meter.add(&left, &right);
            meter.integrated()
        });
    }

    /// The crate that the tests compare with, in place of which the mix has a meter of its own.
    #[divan::bench]
    fn loudness_meter_of_ebur128(bencher: Bencher) {
        let [left, right] = noise();
        bencher.bench_local(|| {
            let mut meter = ebur128::EbuR128::new(2, RATE.hz(), ebur128::Mode::I).unwrap();
            meter.add_frames_planar_f32(&[&left, &right]).unwrap();
            meter.loudness_global().unwrap()
        });
    }

    #[divan::bench]
    fn true_peak_meter(bencher: Bencher) {
        let [left, right] = noise();
        bencher.bench_local(|| {
            let mut meter = TruePeakMeter::new();
            meter.add(&left, &right);
            meter.finish()
        });
    }

    #[divan::bench]
    fn limiter(bencher: Bencher) {
        bencher.with_inputs(noise).bench_local_values(|[mut left, mut right]| {
            let mut limiter = Limiter::new(Decibels(-1.0));
            limiter.limit(&mut left, &mut right);
            limiter.report()
        });
    }

    /// To 16 bits, with dither.
    #[divan::bench]
    fn convert(bencher: Bencher) {
        let [left, right] = noise();
        let mut bytes = vec![0; 4 * LENGTH];
        bencher.bench_local(|| {
            Dither::named("measured").stereo_bytes(&left, &right, &mut bytes);
        });
    }

    #[divan::bench(args = ["wav", "flac"], sample_count = 10)]
    fn write(bencher: Bencher, format: &str) {
        let [left, right] = noise();
        let format = match format {
            "wav" => FileFormat::Wav(SampleFormat::Int16),
            _ => FileFormat::Flac(FlacDepth::Sixteen),
        };
        let file = SoundFile { rate: RATE, frames: Frames(LENGTH as u64), ..SoundFile::default() };
        bencher.bench_local(|| {
            let mut encoder = encoder(format, &file, Cursor::new(Vec::new())).unwrap();
            for (left, right) in left.chunks(BLOCK).zip(right.chunks(BLOCK)) {
                encoder.write_block(left, right).unwrap();
            }
            encoder.finish().unwrap()
        });
    }

    fn noise() -> [Vec<f32>; 2] {
        let mut stream = Stream::named(1, &[&"noise"]);
        [(); 2].map(|()| (0..LENGTH).map(|_| (0.6 * stream.unit() - 0.3) as f32).collect())
    }
}

fn sounds() -> Sounds {
    let instruments =
        take().notes.performance.parts.iter().map(|part| part.instrument).collect::<Vec<_>>();
    Sounds::new(
        countoff::soundfont::embedded().unwrap(),
        &instruments,
        RATE,
        StoreBudget::default(),
    )
    .unwrap()
}

/// Stems from the store and rooms, as a set is made of.
struct Warm(Sounds);

impl Studio for Warm {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        let stem = self.0.stem(part, &take.tempo, Frames::ZERO);
        Ok(Box::new(Stem(stem.map_err(|error| error.to_string())?)))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        Box::new(Reverb(Room::new(RATE)))
    }
}

struct Stem(StemRenderer);

impl StemSource for Stem {
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String> {
        self.0.add_block(left, right).map_err(|error| error.to_string())
    }
}

struct Reverb(Room);

impl RoomSource for Reverb {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        self.0.add(send[0], send[1], left, right);
    }
}

struct Nowhere;

impl BlockSink for Nowhere {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        black_box((left, right));
        Ok(())
    }
}

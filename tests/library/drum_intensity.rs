//! The intensities of the drum styles, measured on audio: loudness after ITU-R BS.1770 by the
//! `ebur128` crate, each performance played dry by the embedded SoundFont.

use countoff::arrange::{Arrangement, Timeline, arrange};
use countoff::chart::{ChartSource, FeelName, FormSource};
use countoff::feel::{FeelSettings, perform};
use countoff::part::drums::play;
use countoff::part::{BandPlan, PartNotes, PlayContext};
use countoff::sound::{Sounds, StoreBudget};
use countoff::style::{DrumStyle, Intensity, Library, Shelf};
use countoff::units::{Bpm, Frames, Meter, SampleRate};
use ebur128::{EbuR128, Mode};

/// A 12-bar blues at 120 beats per minute.
fn timeline(meter: Meter) -> Timeline {
    let bars = "F7 | Bb7 | F7 | % | Bb7 | % | F7 | D7 | Gm7 | C7 | F7 | C7";
    let chart = ChartSource {
        name: "blues",
        key: "F".parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", bars)],
    };
    let arrangement = Arrangement::once(Bpm::new(120.0).unwrap());
    arrange(&chart.parse().unwrap(), &arrangement).unwrap()
}

/// Integrated loudness in LUFS.
fn loudness(timeline: &Timeline, notes: &PartNotes) -> f64 {
    let settings = FeelSettings { seed: 1, deviations: true };
    let performance = perform(timeline, std::slice::from_ref(notes), settings);
    let font = countoff::soundfont::embedded().unwrap();
    let rate = SampleRate::Hz44100;
    let sounds = Sounds::new(font, &[notes.instrument], rate, StoreBudget::default()).unwrap();
    let mut stem = sounds.stem(&performance.parts[0], &performance.tempo, Frames::ZERO).unwrap();
    let mut meter = EbuR128::new(2, rate.hz(), Mode::I).unwrap();
    while !stem.is_done() {
        let (mut left, mut right) = (vec![0.0; 4096], vec![0.0; 4096]);
        stem.add_block(&mut left, &mut right).unwrap();
        meter.add_frames_planar_f32(&[&left, &right]).unwrap();
    }
    meter.loudness_global().unwrap()
}

/// "Fuller: at least 1.4 times the hits and 3 LU more than the lighter."
#[test]
fn full_is_at_least_three_loudness_units_above_light() {
    let library = Library::built_in();
    for file in library.files(Shelf::Drums) {
        let style = DrumStyle::read(file).unwrap();
        let meter = if file.name == "waltz" { Meter::ThreeFour } else { Meter::FourFour };
        let timeline = timeline(meter);
        let plan = BandPlan::level(&timeline);
        let loudness_at = |intensity| {
            loudness(&timeline, &play(PlayContext::new(&timeline, &plan, 1), &style, intensity))
        };
        let [light, medium, full] =
            [Intensity::Light, Intensity::Medium, Intensity::Full].map(loudness_at);
        println!("{}: {light:.1}, {medium:.1}, {full:.1} LUFS", file.name);
        assert!(full - light >= 3.0, "{}: {light} to {full} LUFS", file.name);
        assert!(light < medium && medium < full, "{}: {light} {medium} {full}", file.name);
    }
}

//! Timelines for tests of players, by the stages that make real ones.

use std::num::NonZeroU32;

use proptest::prelude::*;

use crate::arrange::{Arrangement, CountIn, Ending, Intro, KeyOrder, Shape, Timeline, arrange};
use crate::chart::{ChartSource, FeelName, FormSource};
use crate::units::{Bpm, Meter, Ticks};

/// A chart and how it is arranged.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    /// Bars as charts write them.
    pub(crate) chart: String,
    pub(crate) meter: Meter,
    pub(crate) arrangement: Arrangement,
    pub(crate) seed: u64,
}

impl Case {
    /// A chart in common time, counted in by one bar, without an ending.
    pub(crate) fn plain(chart: &str, choruses: u32) -> Case {
        let arrangement = Arrangement {
            tempo: Bpm::new(120.0).unwrap(),
            choruses: NonZeroU32::new(choruses).unwrap(),
            intro: Intro::AsWritten,
            ending: Ending::None,
            count_in: CountIn::Bars(1),
            pickup: Ticks::ZERO,
            shape: Shape::Straight,
        };
        Case { chart: chart.to_owned(), meter: Meter::FourFour, arrangement, seed: 1 }
    }

    pub(crate) fn meter(self, meter: Meter) -> Case {
        Case { meter, ..self }
    }

    pub(crate) fn seed(self, seed: u64) -> Case {
        Case { seed, ..self }
    }

    pub(crate) fn ending(mut self, ending: Ending) -> Case {
        self.arrangement.ending = ending;
        self
    }

    pub(crate) fn shape(mut self, shape: Shape) -> Case {
        self.arrangement.shape = shape;
        self
    }

    pub(crate) fn tempo(mut self, bpm: f64) -> Case {
        self.arrangement.tempo = Bpm::new(bpm).unwrap();
        self
    }

    pub(crate) fn timeline(&self) -> Timeline {
        let chart = ChartSource {
            name: "test",
            key: "C".parse().unwrap(),
            meter: self.meter,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", &self.chart)],
        };
        arrange(&chart.parse().unwrap(), &self.arrangement).unwrap()
    }
}

/// Any chart of up to ten bars in any meter and practice shape. It is made of a few chords only,
/// so that many are held; N.C. and slash chords are among them.
pub(crate) fn any_case() -> impl Strategy<Value = Case> {
    let meter = proptest::sample::select(Meter::ALL.to_vec());
    let chords = proptest::collection::vec(any_chord(), 1..5);
    let chart = (meter, chords).prop_flat_map(|(meter, mut chords)| {
        chords.push("N.C.".to_owned());
        proptest::collection::vec(any_bar(meter, chords), 1..10)
            .prop_map(move |bars| (bars.join(" | "), meter))
    });
    let ending = proptest::sample::select(vec![Ending::Held, Ending::Short, Ending::None]);
    (chart, 1_u32..4, ending, any_shape(), any::<u64>()).prop_map(
        |((chart, meter), choruses, ending, shape, seed)| {
            Case::plain(&chart, choruses).meter(meter).ending(ending).shape(shape).seed(seed)
        },
    )
}

fn any_shape() -> impl Strategy<Value = Shape> {
    let two = NonZeroU32::new(2).unwrap();
    proptest::sample::select(vec![
        Shape::Straight,
        Shape::Straight,
        Shape::Loop,
        Shape::Answer { phrase_bars: two },
        Shape::RoundTheKeys { order: KeyOrder::Fourths, announce: true },
    ])
}

/// A bar with as many chords as divide it.
fn any_bar(meter: Meter, chords: Vec<String>) -> impl Strategy<Value = String> {
    let counts: &[usize] = match meter {
        Meter::FourFour | Meter::TwoTwo => &[1, 1, 1, 2, 2, 4],
        Meter::ThreeFour => &[1, 1, 3],
        Meter::FiveFour => &[1, 1, 5],
        Meter::SixEight | Meter::TwoFour => &[1, 1, 2],
    };
    proptest::sample::select(counts).prop_flat_map(move |count| {
        let chord = proptest::sample::select(chords.clone());
        proptest::collection::vec(chord, count).prop_map(|chords| chords.join(" "))
    })
}

fn any_chord() -> impl Strategy<Value = String> {
    let roots = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
    let suffixes = [
        "", "m", "maj7", "m7", "7", "6", "m6", "m7b5", "dim7", "7sus4", "7alt", "13", "7b9",
        "maj9", "5", "+", "/E", "/Bb",
    ];
    let root = proptest::sample::select(roots.to_vec());
    let suffix = proptest::sample::select(suffixes.to_vec());
    (root, suffix).prop_map(|(root, suffix)| format!("{root}{suffix}"))
}

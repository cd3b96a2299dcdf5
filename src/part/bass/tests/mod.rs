//! What every bass style promises, on many charts, seeds and meters, and what each is.

mod rules;
mod styles;

use super::*;
use crate::arrange::{Ending, Timeline};
use crate::part::test_timeline::{Wanted, timeline};
use crate::style::{Library, Shelf, StyleFile};
use crate::units::Meter;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The built-in styles by name.
static STYLES: LazyLock<BTreeMap<String, BassStyle>> = LazyLock::new(|| {
    let library = Library::built_in();
    let read = |file: &StyleFile| (file.name.clone(), BassStyle::read(file).unwrap());
    library.files(Shelf::Bass).map(read).collect()
});

fn style(name: &str) -> &'static BassStyle {
    &STYLES[name]
}

/// A chart in a meter, how it is arranged, and a seed.
#[derive(Debug, Clone)]
struct Case {
    chart: String,
    wanted: Wanted,
    seed: u64,
}

impl Case {
    fn timeline(&self) -> Timeline {
        timeline(&self.chart, &self.wanted)
    }

    fn notes(&self, style_name: &str) -> Vec<Note> {
        play(&self.timeline(), style(style_name), self.seed).notes
    }
}

/// Any chart of up to twelve bars in any meter, N.C., held chords and slash chords among them.
fn any_case() -> impl Strategy<Value = Case> {
    let meter = proptest::sample::select(Meter::ALL.to_vec());
    meter.prop_flat_map(|meter| {
        let ending = proptest::sample::select(vec![Ending::Held, Ending::Short, Ending::None]);
        let bars = proptest::collection::vec(any_bar(meter), 1..12);
        (bars, 1_u32..4, ending, any::<bool>(), any::<u64>()).prop_map(
            move |(bars, choruses, ending, loops, seed)| Case {
                chart: bars.join(" | "),
                wanted: Wanted {
                    meter,
                    choruses,
                    ending: if loops { Ending::None } else { ending },
                    loops,
                    ..Wanted::default()
                },
                seed,
            },
        )
    })
}

/// A bar with as many chords as divide it.
fn any_bar(meter: Meter) -> impl Strategy<Value = String> {
    let counts: &[usize] = match meter {
        Meter::FourFour | Meter::TwoTwo => &[1, 1, 1, 2, 2, 4],
        Meter::ThreeFour => &[1, 1, 3],
        Meter::FiveFour => &[1, 1, 5],
        Meter::SixEight => &[1, 1, 2],
    };
    proptest::sample::select(counts).prop_flat_map(|count| {
        proptest::collection::vec(any_chord(), count).prop_map(|chords| chords.join(" "))
    })
}

fn any_chord() -> impl Strategy<Value = String> {
    let roots = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
    let suffixes = [
        "", "m", "maj7", "m7", "7", "6", "m6", "m7b5", "dim7", "7sus4", "7alt", "13", "7b9",
        "maj9", "5", "+", "/E", "/Bb",
    ];
    let chord =
        (proptest::sample::select(roots.to_vec()), proptest::sample::select(suffixes.to_vec()))
            .prop_map(|(root, suffix)| format!("{root}{suffix}"));
    prop_oneof![6 => chord, 2 => Just("%".to_owned()), 1 => Just("-".to_owned())]
}

fn full(notes: &[Note]) -> impl DoubleEndedIterator<Item = &Note> {
    notes.iter().filter(|note| note.stroke == Stroke::Full)
}

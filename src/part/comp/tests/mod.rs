//! The engine against exhaustive search, and against the published tables.

mod announcing;
mod exhaustive;
mod forms;
mod giving_way;
mod phrases;
mod transposing;

use std::sync::Arc;

use super::candidate::Request;
use super::passage::passages;
use super::path::Step;
use crate::arrange::{BarKind, Ending, Timeline, TimelineBar, TimelineSlot};
use crate::chart::{FeelName, Pace};
use crate::performance::TempoMap;
use crate::random::Stream;
use crate::style::{CompStyle, Library, Shelf};
use crate::theory::{ChordSymbol, Key, analyse};
use crate::units::{Bpm, Meter, Ticks};

pub(super) fn style(name: &str) -> CompStyle {
    CompStyle::read(Library::built_in().find(Shelf::Comp, name).unwrap()).unwrap()
}

/// One chorus of bars parted by `|`, whose chords share them evenly.
pub(super) fn timeline(key: &str, text: &str) -> Timeline {
    let key: Key = key.parse().unwrap();
    let meter = Meter::FourFour;
    let bars: Vec<Vec<ChordSymbol>> = text
        .split('|')
        .map(|bar| bar.split_whitespace().map(|chord| ChordSymbol::parse(chord).unwrap()).collect())
        .collect();
    let symbols: Vec<ChordSymbol> = bars.iter().flatten().cloned().collect();
    let mut harmonies = analyse(&symbols, key, true).into_iter().map(Arc::new);
    let bpm = Bpm::new(120.0).unwrap();
    let timeline_bar = |(index, chords): (usize, &Vec<ChordSymbol>)| {
        let start = meter.bar() * i64::try_from(index).unwrap();
        let length = Ticks(meter.bar().0 / i64::try_from(chords.len()).unwrap());
        let slot = |slot: usize| TimelineSlot {
            at: start + length * i64::try_from(slot).unwrap(),
            length,
            harmony: harmonies.next(),
        };
        TimelineBar {
            start,
            meter,
            home: key,
            key,
            feel: FeelName::Swing,
            pace: Pace::STEADY,
            in_form: start,
            tempo: bpm,
            kind: BarKind::Chorus,
            chorus: 0,
            form_bar: u32::try_from(index).unwrap(),
            section: None,
            hits: None,
            drums_alone: false,
            click: true,
            slots: (0..chords.len()).map(slot).collect(),
        }
    };
    let end = meter.bar() * i64::try_from(bars.len()).unwrap();
    Timeline {
        bars: bars.iter().enumerate().map(timeline_bar).collect(),
        meter,
        tempo: TempoMap::constant(bpm.tempo(meter)),
        feel: FeelName::Swing,
        end,
        ending: Ending::None,
        loops: false,
    }
}

const CHORDS: [&str; 16] = [
    "C7", "Dm7", "Ebmaj7", "F#m7b5", "G7b9", "Am6", "Bb13", "B7", "Cm9", "Dbmaj7", "E7alt",
    "Fdim7", "Gsus4", "Ab7#11", "A7", "Bm7",
];

/// Bars of one chord each.
pub(super) fn random_chart(random: &mut Stream, length: usize) -> String {
    let chords: Vec<&str> = (0..length).map(|_| CHORDS[random.below(CHORDS.len())]).collect();
    chords.join("|")
}

/// The candidates of every chord of a chart.
pub(super) fn steps(text: &str, style: &CompStyle) -> Vec<Step> {
    let timeline = timeline("C", text);
    let chords = passages(&timeline).remove(0).chords;
    let step = |index: usize| {
        let harmony = &chords[index].harmony;
        let request = Request { style, harmony, reach: style.reach, ceiling: None };
        let before = &chords[(index + chords.len() - 1) % chords.len()].harmony;
        Step { candidates: request.candidates().unwrap().0, same_chord: before == harmony }
    };
    (0..chords.len()).map(step).collect()
}

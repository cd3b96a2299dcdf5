//! Timelines for tests of players.

use std::sync::Arc;

use crate::arrange::{BarKind, Ending, TempoMap, Timeline, TimelineBar, TimelineSlot};
use crate::chart::FeelName;
use crate::theory::{ChordSymbol, Harmony, Key, analyse};
use crate::units::{Bpm, Meter, Ticks};

/// What a test wants of a timeline.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    pub(crate) meter: Meter,
    pub(crate) choruses: u32,
    pub(crate) tempo: f64,
    pub(crate) ending: Ending,
    pub(crate) loops: bool,
}

impl Default for Wanted {
    fn default() -> Self {
        Wanted {
            meter: Meter::FourFour,
            choruses: 1,
            tempo: 120.0,
            ending: Ending::None,
            loops: false,
        }
    }
}

/// A timeline of one bar of count-in and the chart, whose bars are split by `|` and whose chords
/// share the bar evenly; `-` is N.C. and `%` repeats the chord before.
pub(crate) fn timeline(chart: &str, wanted: &Wanted) -> Timeline {
    let key: Key = "C".parse().unwrap();
    let meter = wanted.meter;
    let words: Vec<Vec<&str>> =
        chart.split('|').map(|bar| bar.split_whitespace().collect()).collect();
    let harmonies = harmonies(&words, key);
    let bars_a_chorus = u32::try_from(words.len()).unwrap();
    let mut bars = vec![bar(meter, key, wanted, BarKind::CountIn, 0, 0)];
    for chorus in 0..wanted.choruses {
        let mut next = harmonies.iter();
        for (form_bar, words) in (0..bars_a_chorus).zip(&words) {
            let mut bar = bar(meter, key, wanted, BarKind::Chorus, chorus, form_bar);
            bar.start = meter.bar() * i64::try_from(bars.len()).unwrap();
            let count = i64::try_from(words.len()).unwrap();
            let length = Ticks(meter.bar().0 / count);
            bar.slots = (0..count)
                .map(|slot| TimelineSlot {
                    at: bar.start + length * slot,
                    length,
                    harmony: next.next().unwrap().clone(),
                })
                .collect();
            bars.push(bar);
        }
    }
    if wanted.ending != Ending::None {
        let mut bar = bar(meter, key, wanted, BarKind::Ending, wanted.choruses - 1, bars_a_chorus);
        bar.start = meter.bar() * i64::try_from(bars.len()).unwrap();
        let harmony = harmonies[0].clone();
        bar.slots = vec![TimelineSlot { at: bar.start, length: meter.bar(), harmony }];
        bars.push(bar);
    }
    if wanted.loops {
        bars.remove(0);
    }
    Timeline {
        end: meter.bar() * i64::try_from(bars.len()).unwrap(),
        tempo: TempoMap::constant(Bpm::new(wanted.tempo).unwrap().tempo(meter)),
        feel: FeelName::Swing,
        ending: wanted.ending,
        loops: wanted.loops,
        bars,
    }
}

fn harmonies(words: &[Vec<&str>], key: Key) -> Vec<Option<Arc<Harmony>>> {
    let mut written: Vec<Option<ChordSymbol>> = Vec::new();
    for word in words.iter().flatten() {
        written.push(match *word {
            "-" => None,
            "%" => written.last().cloned().flatten(),
            symbol => Some(ChordSymbol::parse(symbol).unwrap()),
        });
    }
    let symbols: Vec<ChordSymbol> = written.iter().flatten().cloned().collect();
    let mut analysed = analyse(&symbols, key, true).into_iter().map(Arc::new);
    written.iter().map(|chord| chord.as_ref().and_then(|_| analysed.next())).collect()
}

fn bar(
    meter: Meter,
    key: Key,
    wanted: &Wanted,
    kind: BarKind,
    chorus: u32,
    form_bar: u32,
) -> TimelineBar {
    TimelineBar {
        start: Ticks::ZERO,
        meter,
        key,
        tempo: Bpm::new(wanted.tempo).unwrap(),
        kind,
        chorus,
        form_bar,
        section: None,
        click: true,
        slots: Vec::new(),
    }
}

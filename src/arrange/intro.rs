//! Intros that every tune may have.

use super::Intro;
use crate::chart::{Bar, Chart, Setting, Slot};
use crate::theory::{ChordSymbol, Mode, parse_chord};
use crate::units::Ticks;

/// How long an intro is that is not written, in bars: common practice.
const BARS: usize = 4;

/// The bars before the first chorus of a chart in its key, and whether the drummer plays them alone.
pub(super) fn intro(chart: &Chart, intro: Intro, setting: Setting) -> (Vec<Bar>, bool) {
    // One chord in a bar that has no even halves.
    let halves = setting.meter.beats().is_multiple_of(2);
    let minor = chart.key.mode == Mode::Minor;
    let bars: &[&[&str]] = match (intro, halves, minor) {
        (Intro::None, ..) => &[],
        (Intro::AsWritten, ..) => return (chart.roadmap.intro.clone(), false),
        (Intro::LastFour, ..) => {
            let from = chart.bars.len().saturating_sub(BARS);
            return (chart.bars[from..].to_vec(), false);
        }
        (Intro::Turnaround, true, false) => {
            &[&["I6", "VI7"], &["iim7", "V7"], &["I6", "VI7"], &["iim7", "V7"]]
        }
        (Intro::Turnaround, false, false) => &[&["I6"], &["VI7"], &["iim7"], &["V7"]],
        (Intro::Turnaround, true, true) => {
            &[&["i6", "viø7"], &["iiø7", "V7b9"], &["i6", "viø7"], &["iiø7", "V7b9"]]
        }
        (Intro::Turnaround, false, true) => &[&["i6"], &["viø7"], &["iiø7"], &["V7b9"]],
        (Intro::DominantPedal | Intro::Drums, _, false) => {
            &[&["V7sus4"], &["V7"], &["V7sus4"], &["V7"]]
        }
        (Intro::DominantPedal | Intro::Drums, _, true) => {
            &[&["V7sus4"], &["V7b9"], &["V7sus4"], &["V7b9"]]
        }
    };
    let symbol = |numeral: &&str| -> Option<ChordSymbol> { parse_chord(numeral, chart.key).ok() };
    let bar = |(number, numerals): (u32, &&[&str])| {
        let bar = setting.meter.bar().0;
        let length = Ticks(bar / i64::try_from(numerals.len()).unwrap_or(1).max(1));
        let slot = |(index, numeral): (i64, &&str)| Slot {
            at: length * index,
            length,
            chord: symbol(numeral),
        };
        Bar {
            section: (number == 0).then(|| "intro".to_owned()),
            form_bar: number,
            setting,
            hits: None,
            slots: (0..).zip(*numerals).map(slot).collect(),
        }
    };
    ((0..).zip(bars).map(bar).collect(), intro == Intro::Drums)
}

//! Choruses become bars, before anything has its time.

use std::sync::Arc;

use super::choruses::Chorus;
use super::ending::{dominant, ending_bar};
use super::{Arrangement, BarKind, Ending, Shape};
use crate::chart::{Chart, Slot};
use crate::theory::{Harmony, Key};
use crate::units::{Bpm, Ticks};

/// A bar without its place. Before harmonising, `C` is a slot of the chart; after it, one with a
/// harmony.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SketchBar<C> {
    pub(super) key: Key,
    pub(super) tempo: Bpm,
    pub(super) kind: BarKind,
    pub(super) chorus: u32,
    pub(super) form_bar: u32,
    pub(super) section: Option<String>,
    pub(super) slots: Vec<C>,
}

/// A slot of the chart with its function.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HarmonisedSlot {
    /// From the start of the bar.
    pub(super) at: Ticks,
    pub(super) length: Ticks,
    pub(super) harmony: Option<Arc<Harmony>>,
}

/// All bars from the first chorus to the ending.
pub(super) fn sketch(
    chart: &Chart,
    arrangement: &Arrangement,
    choruses: &[Chorus],
) -> Vec<SketchBar<Slot>> {
    let mut bars = Vec::new();
    let mut sounding = chart.clone();
    for (number, chorus) in (0_u32..).zip(choruses) {
        if sounding.key != chorus.key {
            sounding = chart.transpose(chorus.key);
        }
        let bar = |kind, form_bar, section, slots| SketchBar {
            key: sounding.key,
            tempo: chorus.tempo,
            kind,
            chorus: number,
            form_bar,
            section,
            slots,
        };
        if chorus.announced {
            let chord = Some(dominant(sounding.key));
            let slot = Slot { at: Ticks::ZERO, length: chart.meter.bar(), chord };
            bars.push(bar(BarKind::Announce, 0, None, vec![slot]));
        }
        for (form_bar, of_chart) in (0_u32..).zip(&sounding.bars) {
            let section = of_chart.section.clone();
            bars.push(bar(BarKind::Chorus, form_bar, section, of_chart.slots.clone()));
        }
    }
    let ending = if arrangement.shape == Shape::Loop { Ending::None } else { arrangement.ending };
    if let Some(last) = bars.last()
        && let Some(slots) = ending_bar(&sounding, ending)
    {
        let form_bar = last.form_bar + 1;
        let ending = SketchBar { kind: BarKind::Ending, form_bar, section: None, ..last.clone() };
        bars.push(SketchBar { slots, ..ending });
    }
    bars
}

/// Puts after each phrase the bars in which it is answered, where the shape asks for it. The
/// answer has the phrase's harmony to the letter, functions included.
pub(super) fn with_answers(
    bars: Vec<SketchBar<HarmonisedSlot>>,
    shape: &Shape,
) -> Vec<SketchBar<HarmonisedSlot>> {
    let Shape::Answer { phrase_bars } = shape else { return bars };
    let phrase_of =
        |bar: &SketchBar<HarmonisedSlot>| (bar.kind, bar.chorus, bar.form_bar / phrase_bars.get());
    let mut answered = Vec::new();
    for phrase in bars.chunk_by(|bar, next| phrase_of(bar) == phrase_of(next)) {
        answered.extend_from_slice(phrase);
        let of_form = phrase.iter().filter(|bar| bar.kind == BarKind::Chorus);
        answered.extend(of_form.map(|bar| SketchBar {
            kind: BarKind::Answer,
            section: None,
            ..bar.clone()
        }));
    }
    answered
}

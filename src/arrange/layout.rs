//! Every bar gets its time.

use super::sketch::{HarmonisedSlot, SketchBar};
use super::{Arrangement, BarKind, Shape, TempoMap, Timeline, TimelineBar, TimelineSlot};
use crate::chart::Chart;
use crate::units::{Bpm, Ticks};

/// Puts the bars one after the other, counted in, and writes the tempo map.
pub(super) fn layout(
    chart: &Chart,
    arrangement: &Arrangement,
    bars: Vec<SketchBar<HarmonisedSlot>>,
) -> Timeline {
    let meter = chart.meter;
    let loops = arrangement.shape == Shape::Loop;
    let first_tempo = bars.first().map_or(arrangement.tempo, |bar| bar.tempo);
    let mut timeline = Timeline {
        bars: Vec::new(),
        meter,
        tempo: TempoMap::constant(first_tempo.tempo(meter)),
        feel: chart.feel,
        end: Ticks::ZERO,
        ending: if loops { super::Ending::None } else { arrangement.ending },
        loops,
    };
    if !loops && let Some(first) = bars.first() {
        let before = bars_before_form(chart, arrangement, first_tempo).map(|kind| SketchBar {
            kind,
            section: None,
            slots: Vec::new(),
            ..first.clone()
        });
        for bar in before {
            add(&mut timeline, chart, bar, true);
        }
    }
    for (index, bar) in (0_u32..).zip(bars) {
        add(&mut timeline, chart, bar, click_sounds(&arrangement.shape, index));
    }
    timeline
}

/// The bars before the first chorus: those counted, and before them as many as a longer pickup
/// needs.
fn bars_before_form(
    chart: &Chart,
    arrangement: &Arrangement,
    tempo: Bpm,
) -> impl Iterator<Item = BarKind> + use<> {
    let counted = arrangement.count_in.bars(chart.meter, tempo);
    let bar = chart.meter.bar().0;
    let of_pickup = (arrangement.pickup.0.max(0) + bar - 1) / bar;
    let lead_in = (of_pickup - i64::from(counted)).max(0);
    (0..lead_in).map(|_| BarKind::LeadIn).chain((0..counted).map(|_| BarKind::CountIn))
}

/// Whether the click sounds in a bar, counted from the first of the form.
fn click_sounds(shape: &Shape, bar: u32) -> bool {
    match shape {
        Shape::RestingClick { sounding, silent } => {
            let round = u64::from(sounding.get()) + u64::from(silent.get());
            u64::from(bar) % round < u64::from(sounding.get())
        }
        _ => true,
    }
}

fn add(timeline: &mut Timeline, chart: &Chart, bar: SketchBar<HarmonisedSlot>, click: bool) {
    let start = timeline.end;
    if timeline.bars.last().is_some_and(|last| last.tempo != bar.tempo) {
        timeline.tempo.change(start, bar.tempo.tempo(chart.meter));
    }
    timeline.end = start + chart.meter.bar();
    let place = |slot: HarmonisedSlot| TimelineSlot {
        at: start + slot.at,
        length: slot.length,
        harmony: slot.harmony,
    };
    timeline.bars.push(TimelineBar {
        start,
        meter: chart.meter,
        key: bar.key,
        tempo: bar.tempo,
        kind: bar.kind,
        chorus: bar.chorus,
        form_bar: bar.form_bar,
        section: bar.section,
        click,
        slots: bar.slots.into_iter().map(place).collect(),
    });
}

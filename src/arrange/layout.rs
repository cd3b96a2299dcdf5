//! Every bar gets its time.

use super::sketch::{HarmonisedSlot, SketchBar};
use super::{Arrangement, BarKind, Shape, TempoMap, Timeline, TimelineBar, TimelineSlot};
use crate::chart::{Chart, Setting};
use crate::units::{Meter, Ticks};

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
        tempo: TempoMap::constant(
            first_tempo
                .scaled(bars.first().map_or(1.0, |bar| bar.setting.pace.at(0.0)))
                .tempo(meter),
        ),
        feel: chart.feel,
        end: Ticks::ZERO,
        ending: if loops { super::Ending::None } else { arrangement.ending },
        loops,
    };
    if !loops && let Some(first) = bars.first() {
        // Counted in the meter and at the pace of what comes.
        let setting = Setting { pace: first.setting.pace.start(), ..first.setting };
        let before = bars_before_form(setting.meter, first, arrangement).map(|kind| SketchBar {
            kind,
            section: None,
            hits: None,
            drums_alone: false,
            slots: Vec::new(),
            setting,
            form_bar: 0,
            ..first.clone()
        });
        for bar in before {
            add(&mut timeline, meter, bar, true);
        }
    }
    for (index, bar) in (0_u32..).zip(bars) {
        add(&mut timeline, meter, bar, click_sounds(&arrangement.shape, index));
    }
    place_in_form(&mut timeline, chart);
    timeline
}

/// The bars before the first that is played: those counted, and before them as many as a line's
/// longer pickup needs; within an intro it has all the room.
fn bars_before_form(
    meter: Meter,
    first: &SketchBar<HarmonisedSlot>,
    arrangement: &Arrangement,
) -> impl Iterator<Item = BarKind> + use<> {
    let counted = arrangement.count_in.bars(meter, first.tempo);
    let bar = meter.bar().0;
    let pickup = if first.kind == BarKind::Intro { 0 } else { arrangement.pickup.0.max(0) };
    let of_pickup = (pickup + bar - 1) / bar;
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

/// `meter` is the one that tempos are of.
fn add(timeline: &mut Timeline, meter: Meter, bar: SketchBar<HarmonisedSlot>, click: bool) {
    let start = timeline.end;
    let Setting { key, meter: own, feel, pace } = bar.setting;
    // A tempo that changes within a bar does so from count to count.
    let steps = if pace.is_even() { 1 } else { own.counts() };
    for index in 0..steps {
        let at = start + own.count() * i64::from(index);
        let part = if pace.is_even() { 0.0 } else { (f64::from(index) + 0.5) / f64::from(steps) };
        let tempo = bar.tempo.scaled(pace.at(part)).tempo(meter);
        if timeline.tempo.at(at) != tempo {
            timeline.tempo.change(at, tempo);
        }
    }
    timeline.end = start + own.bar();
    let place = |slot: HarmonisedSlot| TimelineSlot {
        at: start + slot.at,
        length: slot.length,
        harmony: slot.harmony,
    };
    timeline.bars.push(TimelineBar {
        start,
        meter: own,
        home: bar.home,
        key,
        feel,
        pace,
        tempo: bar.tempo,
        in_form: Ticks::ZERO,
        kind: bar.kind,
        chorus: bar.chorus,
        form_bar: bar.form_bar,
        section: bar.section,
        hits: bar.hits,
        drums_alone: bar.drums_alone,
        click,
        slots: bar.slots.into_iter().map(place).collect(),
    });
}

/// Says of every bar how far into the form it begins: where a line has its notes for it.
fn place_in_form(timeline: &mut Timeline, chart: &Chart) {
    let mut starts = vec![Ticks::ZERO];
    for bar in &chart.bars {
        starts.push(starts[starts.len() - 1] + bar.setting.meter.bar());
    }
    let end = starts[starts.len() - 1];
    for bar in &mut timeline.bars {
        let start = usize::try_from(bar.form_bar).ok().and_then(|bar| starts.get(bar));
        // Bars that only the last chorus has go on where the form ends: a longer line has notes for
        // them.
        let beyond = i64::from(bar.form_bar) + 1 - starts.iter().map(|_| 1).sum::<i64>();
        bar.in_form = start.copied().unwrap_or(end + chart.meter.bar() * beyond);
    }
}

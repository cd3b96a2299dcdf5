//! Choruses become bars, before anything has its time.

use std::sync::Arc;

use super::choruses::Chorus;
use super::ending::{dominant, ending_bar, last_chord};
use super::intro::intro;
use super::{Arrangement, BarKind, Ending, Shape, TradeWith};
use crate::chart::{BandHits, Bar, Chart, Pace, Setting, Slot};
use crate::theory::{ChordSymbol, Harmony, Key};
use crate::units::{Bpm, Ticks};

/// Bars of a phrase, and bars in which a tune slows down to its end: common practice.
const PHRASE: usize = 4;
const SLOWING: usize = 2;

/// A bar without its place. Before harmonising, `C` is a slot of the chart; after it, one with a
/// harmony.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SketchBar<C> {
    pub(super) home: Key,
    pub(super) setting: Setting,
    pub(super) tempo: Bpm,
    pub(super) kind: BarKind,
    pub(super) chorus: u32,
    pub(super) form_bar: u32,
    pub(super) section: Option<String>,
    pub(super) hits: Option<BandHits>,
    pub(super) drums_alone: bool,
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
    let loops = arrangement.shape == Shape::Loop;
    for (number, chorus) in (0_u32..).zip(choruses) {
        if sounding.key != chorus.key {
            sounding = chart.transpose(chorus.key);
        }
        let home = sounding.key;
        let add = |bars: &mut Vec<SketchBar<Slot>>, kind, passage: &[Bar]| {
            bars.extend(passage.iter().map(|bar| SketchBar {
                home,
                setting: bar.setting,
                tempo: chorus.tempo,
                kind,
                chorus: number,
                form_bar: bar.form_bar,
                section: bar.section.clone(),
                hits: bar.hits.clone(),
                drums_alone: false,
                slots: bar.slots.clone(),
            }));
        };
        let is_last = choruses.len() == number as usize + 1;
        let roadmap = &sounding.roadmap;
        if chorus.announced {
            let chord = Some(dominant(home));
            let slot = Slot { at: Ticks::ZERO, length: chart.meter.bar(), chord };
            let setting = at_home(&sounding);
            let bar = Bar { section: None, form_bar: 0, setting, hits: None, slots: vec![slot] };
            add(&mut bars, BarKind::Announce, &[bar]);
        }
        // What goes round and round has neither beginning nor end.
        match (loops, number) {
            (true, _) => {}
            (false, 0) => {
                let (intro, drums_alone) = intro(&sounding, arrangement.intro, at_home(&sounding));
                add(&mut bars, BarKind::Intro, &intro);
                for bar in bars.iter_mut().filter(|bar| bar.kind == BarKind::Intro) {
                    bar.drums_alone = drums_alone;
                }
            }
            (false, _) => add(&mut bars, BarKind::Interlude, &roadmap.interlude),
        }
        let last = roadmap.last.as_ref().filter(|_| is_last && !loops);
        let played = last.unwrap_or(&sounding.bars);
        add(&mut bars, BarKind::Chorus, played);
        if is_last && !loops {
            if arrangement.ending == Ending::Tag {
                let phrase = last_phrase(played);
                add(&mut bars, BarKind::Chorus, &phrase);
                add(&mut bars, BarKind::Chorus, &phrase);
            }
            add(&mut bars, BarKind::Outro, &roadmap.outro);
        }
    }
    if !loops {
        end(&mut bars, &sounding, arrangement.ending);
    }
    bars
}

/// Adds the last chord: the tune's own, at the pace that was come to; or what the outro ends with.
fn end(bars: &mut Vec<SketchBar<Slot>>, chart: &Chart, ending: Ending) {
    if ending == Ending::Ritardando {
        slow_down(bars);
    }
    let Some(last) = bars.last().cloned() else { return };
    let written = written_ending(&last);
    let chord = written.clone().unwrap_or_else(|| last_chord(chart));
    let pace = last.setting.pace.end();
    let setting = match &written {
        Some(_) => last.setting,
        None => Setting { pace, feel: last.setting.feel, ..at_home(chart) },
    };
    let Some(slots) = ending_bar(setting.meter, chord, ending) else { return };
    if written.is_some() {
        bars.pop();
    }
    bars.push(SketchBar {
        kind: BarKind::Ending,
        form_bar: last.form_bar + u32::from(written.is_none()),
        section: last.section.clone().filter(|_| written.is_some()),
        setting,
        hits: None,
        slots,
        ..last
    });
}

/// The last phrase: four bars, or half of a shorter chorus.
fn last_phrase(bars: &[Bar]) -> Vec<Bar> {
    let length = if bars.len() > PHRASE { PHRASE } else { bars.len().div_ceil(2) };
    let mut phrase = bars[bars.len() - length..].to_vec();
    if let Some(first) = phrase.first_mut() {
        first.section = Some("tag".to_owned());
    }
    phrase
}

/// Lets the last two bars get slower, where no section has a tempo of its own.
fn slow_down(bars: &mut [SketchBar<Slot>]) {
    let from = bars.len().saturating_sub(SLOWING);
    let slowing = &mut bars[from..];
    let count = slowing.len();
    for (index, bar) in slowing.iter_mut().enumerate() {
        if bar.setting.pace == Pace::STEADY {
            bar.setting.pace = Pace::RITARDANDO.piece(index, count);
        }
    }
}

/// Marks whose turn it is, where the shape has turns. They go on over the choruses.
pub(super) fn with_turns(
    mut bars: Vec<SketchBar<HarmonisedSlot>>,
    shape: &Shape,
) -> Vec<SketchBar<HarmonisedSlot>> {
    let Shape::Trade { bars: turn, with } = shape else { return bars };
    let of_form = bars.iter_mut().filter(|bar| bar.kind == BarKind::Chorus);
    for (played, bar) in (0_u32..).zip(of_form) {
        let is_others = played / turn.get() % 2 == 1;
        match with {
            TradeWith::Drums => bar.drums_alone = is_others,
            TradeWith::Line if is_others => bar.kind = BarKind::Answer,
            TradeWith::Line => {}
        }
    }
    bars
}

/// The chord of an outro whose last bar has no other: its ending is written out.
fn written_ending(last: &SketchBar<Slot>) -> Option<ChordSymbol> {
    match last.slots.as_slice() {
        [Slot { chord, .. }] if last.kind == BarKind::Outro => chord.clone(),
        _ => None,
    }
}

/// What holds in a chart where nothing is other.
fn at_home(chart: &Chart) -> Setting {
    Setting { key: chart.key, meter: chart.meter, feel: chart.feel, pace: Pace::STEADY }
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

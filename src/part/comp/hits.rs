//! Which rhythm each bar is played in: hits in time, before they have a chord.

use super::phrase;
use crate::arrange::{BarKind, Ending, TimelineBar, TimelineSlot};
use crate::chart::{BandHit, BandHits};
use crate::part::{Choice, PlayContext};
use crate::random::Stream;
use crate::style::{ChordRhythm, CompStyle, Hit};
use crate::units::{Meter, Ticks, Velocity};

/// How much harder a hit of the whole band is struck than a chord of its own, as a MIDI velocity: the
/// accent of an ensemble figure (a matter of taste).
const BAND_HIT: i32 = 16;

/// A hit at its time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TimedHit {
    /// From the start of the timeline.
    pub(super) at: Ticks,
    pub(super) hit: Hit,
}

/// The hits of one bar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BarHits {
    /// In order of time.
    pub(super) hits: Vec<TimedHit>,
    /// How a chord is struck that the rhythm passes over: as its first hit; not at all where the whole
    /// band plays its own hits.
    pub(super) otherwise: Option<Hit>,
}

/// The hits of every bar of the timeline; `None` where no chord sounds.
///
/// Each bar draws from a stream of its own, so that a change in one leaves the others alone. A
/// rhythm of two bars goes on into the next bar of its chorus; that of a bar that announces a key
/// does not, so that the chorus is played as it would be without the announcement.
pub(super) fn hits(context: PlayContext<'_>, style: &CompStyle) -> Vec<Option<BarHits>> {
    let PlayContext { timeline, plan, seed } = context;
    let mut going_on: Option<(u32, Meter, Vec<Hit>)> = None;
    let mut before = None;
    let mut bars = Vec::with_capacity(timeline.bars.len());
    for (index, bar) in timeline.bars.iter().enumerate() {
        let begun = going_on.take().filter(|(chorus, meter, _)| {
            let is_one_passage = before == Some(bar.kind.passage());
            (*chorus, *meter) == (bar.chorus, bar.meter) && is_one_passage
        });
        before = Some(bar.kind.passage());
        let mut random = Choice::CompRhythm.stream(seed, bar);
        let hits = match bar.kind {
            BarKind::LeadIn | BarKind::CountIn => None,
            _ if bar.hits.is_some() => bar.hits.as_ref().map(|hits| of_band(bar, hits)),
            BarKind::Ending => Some(ending(bar, style, timeline.ending)),
            _ => {
                let begun = begun.map(|(_, _, hits)| hits);
                let of_phrase = style.phrases.then(|| {
                    let rhythms = style.bars_in(bar.meter);
                    phrase::rhythm(bar, plan.bar(index), &rhythms, seed, &mut random)
                });
                let (hits, next) = form_bar(bar, style, of_phrase.or(begun), &mut random);
                let is_of_the_form = bar.kind != BarKind::Announce;
                going_on =
                    next.filter(|_| is_of_the_form).map(|next| (bar.chorus, bar.meter, next));
                hits
            }
        };
        bars.push(hits);
    }
    bars
}

/// What the whole band plays together, and nothing else.
fn of_band(bar: &TimelineBar, hits: &BandHits) -> BarHits {
    let timed = |hit: &BandHit| {
        let length = (!hit.held).then_some(Ticks::EIGHTH);
        let velocity = Hit::plain().velocity;
        let velocity = Velocity::clamped(i32::from(velocity.get()) + BAND_HIT);
        let sounding = Hit { at: hit.at, early: hit.early, length, velocity, ..Hit::plain() };
        TimedHit { at: bar.start + hit.at, hit: sounding }
    };
    BarHits { hits: hits.hits.iter().map(timed).collect(), otherwise: None }
}

/// The hits of a bar of the form, and those of the next bar where its rhythm has two.
fn form_bar(
    bar: &TimelineBar,
    style: &CompStyle,
    begun: Option<Vec<Hit>>,
    random: &mut Stream,
) -> (Option<BarHits>, Option<Vec<Hit>>) {
    let rhythms = style.bars_in(bar.meter);
    let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
    // Drawn in any case, so that the hits after it draw the same numbers.
    let drawn = random.weighted(&weights).and_then(|index| rhythms.get(index));
    let (rhythm, next) = match (begun, drawn) {
        (Some(begun), _) => (begun, None),
        (None, Some(drawn)) => (drawn.hits.clone(), drawn.next.clone()),
        (None, None) => (Vec::new(), None),
    };
    let chords = chords(bar);
    let by_chord = chords.len() > 1 && !style.chords.is_empty();
    let mut hits: Vec<TimedHit> = Vec::new();
    if by_chord {
        for (at, length) in chords {
            let rhythm = draw_chord(&style.chords_in(bar.meter, length), random);
            let within = rhythm.into_iter().filter(|hit| hit.at < length);
            hits.extend(within.map(|hit| TimedHit { at: at + hit.at, hit }));
        }
    } else {
        hits.extend(rhythm.iter().map(|hit| TimedHit { at: bar.start + hit.at, hit: hit.clone() }));
    }
    let first = hits.first().map(|timed| timed.hit.clone());
    let otherwise = first.or(style.ending.first().cloned());
    hits.retain(|timed| random.chance(timed.hit.probability));
    (otherwise.map(|otherwise| BarHits { hits, otherwise: Some(otherwise) }), next)
}

fn draw_chord(rhythms: &[ChordRhythm], random: &mut Stream) -> Vec<Hit> {
    let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
    let drawn = random.weighted(&weights).and_then(|index| rhythms.get(index));
    drawn.map(|rhythm| rhythm.hits.clone()).unwrap_or_default()
}

/// The chords of a bar with their times and lengths; one that only goes on counts once, and a
/// silence counts as one.
fn chords(bar: &TimelineBar) -> Vec<(Ticks, Ticks)> {
    let runs = bar.slots.chunk_by(|slot, next| slot.harmony == next.harmony);
    let length = |run: &[TimelineSlot]| run.iter().map(|slot| slot.length).sum();
    runs.filter_map(|run| Some((run.first()?.at, length(run)))).collect()
}

/// The last chord: as the style says, held; or its first hit, short.
fn ending(bar: &TimelineBar, style: &CompStyle, ending: Ending) -> BarHits {
    let timed = |hit: &Hit| TimedHit { at: bar.start + hit.at, hit: hit.clone() };
    let otherwise = style.ending.first().cloned().unwrap_or_else(Hit::plain);
    let hits = if ending == Ending::Short {
        let short = Hit { at: Ticks::ZERO, length: Some(Ticks::EIGHTH), ..otherwise.clone() };
        vec![TimedHit { at: bar.start, hit: short }]
    } else {
        style.ending.iter().map(timed).collect()
    };
    BarHits { hits, otherwise: Some(otherwise) }
}

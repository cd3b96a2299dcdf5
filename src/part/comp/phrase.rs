//! Rhythms by phrase: a motif of two bars, answered and varied, with room for the line.

use crate::arrange::TimelineBar;
use crate::part::{BandBar, Choice, LineActivity};
use crate::random::Stream;
use crate::style::{BarRhythm, Hit};
use crate::units::Ticks;

/// A phrase, in bars of the form (common practice): a motif of two bars and its answer.
const PHRASE: u32 = 4;
/// How likely the hand leaves out a chord after the first where the line is busy, and answers where it
/// rests (our choice).
const ROOM: f64 = 0.5;
const ANSWER: f64 = 0.6;

/// What becomes of a bar of the motif where it comes again.
#[derive(Debug, Clone, Copy)]
enum Variation {
    /// An eighth later.
    Later,
    /// Without its last chord.
    Shorter,
    /// With the last eighth before the bar line, or the second beat where that is taken.
    Longer,
    /// As it was.
    Same,
    /// A rest: what was struck before it rings, and a new chord is struck plainly.
    Rest,
}

/// How likely each of them is drawn against the others (our choice).
const VARIATIONS: [(Variation, f64); 5] = [
    (Variation::Later, 3.0),
    (Variation::Shorter, 2.0),
    (Variation::Longer, 3.0),
    (Variation::Same, 1.5),
    (Variation::Rest, 1.5),
];

/// The rhythm of a bar by its place in its phrase, from the rhythms of a style; what the bar itself
/// adds or leaves out is drawn from `random`.
pub(super) fn rhythm(
    bar: &TimelineBar,
    plan: BandBar,
    rhythms: &[BarRhythm],
    seed: u64,
    random: &mut Stream,
) -> Vec<Hit> {
    let place = bar.form_bar % PHRASE;
    let begins = TimelineBar { form_bar: bar.form_bar - place, ..bar.clone() };
    let mut motif = Choice::CompPhrase.stream(seed, &begins);
    let first = drawn(rhythms, &mut motif);
    // The second bar is another rhythm where the style has one.
    let others: Vec<BarRhythm> =
        rhythms.iter().filter(|rhythm| Some(*rhythm) != first).cloned().collect();
    let second = drawn(if others.is_empty() { rhythms } else { &others }, &mut motif);
    let changes = [variation(&mut motif), variation(&mut motif)];
    let of = |rhythm: Option<&BarRhythm>| rhythm.map(|rhythm| rhythm.hits.clone());
    let hits = match place {
        0 => of(first).unwrap_or_default(),
        1 => of(second).unwrap_or_default(),
        2 => varied(of(first).unwrap_or_default(), changes[0], bar),
        _ => varied(of(second).unwrap_or_default(), changes[1], bar),
    };
    listening(hits, bar, plan, random)
}

fn drawn<'a>(rhythms: &'a [BarRhythm], random: &mut Stream) -> Option<&'a BarRhythm> {
    let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
    random.weighted(&weights).and_then(|index| rhythms.get(index))
}

fn variation(random: &mut Stream) -> Variation {
    let drawn = random.weighted(&VARIATIONS.map(|(_, weight)| weight));
    drawn
        .and_then(|index| VARIATIONS.get(index))
        .map_or(Variation::Same, |(variation, _)| *variation)
}

fn varied(mut hits: Vec<Hit>, variation: Variation, bar: &TimelineBar) -> Vec<Hit> {
    match variation {
        Variation::Same => {}
        Variation::Rest => hits.clear(),
        Variation::Shorter => {
            if hits.len() > 1 {
                hits.pop();
            }
        }
        Variation::Longer => longer(&mut hits, bar),
        Variation::Later => {
            let end = bar.meter.bar();
            if hits.last().is_some_and(|last| last.at + Ticks::EIGHTH < end) {
                for hit in &mut hits {
                    moved(hit, hit.at + Ticks::EIGHTH, bar);
                }
            }
        }
    }
    hits
}

/// Adds a short chord: on the last eighth, else on the first count that is free for an eighth on
/// either side.
fn longer(hits: &mut Vec<Hit>, bar: &TimelineBar) {
    let Some(like) = hits.last().cloned() else { return };
    let last = bar.meter.bar() - Ticks::EIGHTH;
    let count = bar.meter.count();
    let counts = (1..).map(|number| count * number).take_while(|at| *at < last);
    let is_free = |at: &Ticks| hits.iter().all(|hit| (hit.at.0 - at.0).abs() > Ticks::EIGHTH.0);
    let Some(at) = std::iter::once(last).chain(counts).find(is_free) else { return };
    let mut added = Hit { length: Some(Ticks::EIGHTH), ..like };
    moved(&mut added, at, bar);
    hits.push(added);
    hits.sort_by_key(|hit| hit.at);
}

/// Moves a chord: off the beat it takes what comes on the next count.
fn moved(hit: &mut Hit, to: Ticks, bar: &TimelineBar) {
    hit.at = to;
    hit.early = to.0 % bar.meter.count().0 != 0;
}

/// Leaves room for a busy line, answers one that rests, and goes with the band's energy.
fn listening(
    mut hits: Vec<Hit>,
    bar: &TimelineBar,
    plan: BandBar,
    random: &mut Stream,
) -> Vec<Hit> {
    // Drawn in any case, so that the hits after it draw the same numbers.
    let energy = (f64::from(plan.energy.percent()) - 50.0) / 100.0;
    let leaves = match plan.line {
        LineActivity::Busy => ROOM,
        _ => (-energy).max(0.0),
    };
    let answers = match plan.line {
        LineActivity::Busy => 0.0,
        LineActivity::Rests => ANSWER,
        LineActivity::Absent | LineActivity::Plays => energy.max(0.0),
    };
    let (leaves, answers) = (random.chance(leaves), random.chance(answers));
    if leaves && hits.len() > 1 {
        hits.truncate(1);
    }
    if answers {
        longer(&mut hits, bar);
    }
    hits
}

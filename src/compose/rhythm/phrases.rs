//! Where phrases begin and end, and how they relate.
//!
//! All places are in eighth notes from the start of the form. Lengths and rests follow improvised
//! solos (Weimar Jazz Database, `tests/facts/line_rhythm.tsv`): a phrase of 4.7 to 14 beats, 1.4 to
//! 3.1 beats of silence after it, beginnings spread over the bar, nearly half of them off the beat.

use std::ops::Range;

use crate::melody::Form;
use crate::random::Stream;
use crate::units::Ticks;

use super::{Request, Rhythm};
use crate::compose::streams::Choice;

/// A phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Phrase {
    /// The first eighth note of the bar that it is counted from: where it begins or, with a pickup,
    /// where the pickup leads.
    pub(super) downbeat: i64,
    /// Where its first note begins.
    pub(super) start: i64,
    /// Where its last note begins.
    pub(super) last: i64,
    /// Where its last note ends.
    pub(super) end: i64,
    /// The earlier phrase, as an index, that it answers in that one's rhythm.
    pub(super) answers: Option<usize>,
}

/// Bars of the phrases of a block of up to four bars, with how often. Two and two is a call and its
/// answer; one, one and two an idea, the idea again, and where it leads.
type Division = (&'static [i64], f64);

const FOUR_BARS: [Division; 5] =
    [(&[2, 2], 5.0), (&[4], 3.5), (&[1, 1, 2], 1.2), (&[3, 1], 0.8), (&[1, 3], 1.0)];
const FOUR_SHORT_BARS: [Division; 3] = [(&[4], 4.0), (&[2, 2], 4.0), (&[3, 1], 0.5)];
const THREE_BARS: [Division; 3] = [(&[3], 2.0), (&[1, 2], 1.0), (&[2, 1], 1.0)];
const TWO_BARS: [Division; 2] = [(&[2], 4.0), (&[1, 1], 1.0)];
const ONE_BAR: [Division; 1] = [(&[1], 1.0)];

/// Bars of less than four quarters.
const SHORT_BAR: i64 = 6;

/// Where phrases begin, in eighth notes from their downbeat, with how often.
const BEGINNINGS: [(i64, f64); 8] =
    [(-3, 9.0), (-2, 7.0), (-1, 9.0), (0, 9.0), (1, 14.0), (2, 9.0), (3, 10.0), (4, 8.0)];

/// Eighth notes of silence between two phrases.
const SILENCES: [(i64, f64); 6] = [(3, 1.5), (4, 3.0), (5, 4.0), (6, 3.0), (7, 2.0), (8, 1.2)];

/// Eighth notes of a phrase's last note: cut short, a quarter, or more.
const LAST_NOTES: [(i64, f64); 3] = [(1, 5.0), (2, 4.0), (3, 1.5)];

/// Eighth notes of the note that closes the line: what is left of the bar is for breathing. Two beats
/// give a line that is moved against the bar its room.
const CLOSING_NOTES: [(i64, f64); 3] = [(4, 3.0), (5, 1.0), (6, 2.0)];

/// The shortest phrase and the shortest silence, in eighth notes.
const SHORTEST: i64 = 5;
const SHORTEST_SILENCE: i64 = 3;

/// How likely the second phrase of a block answers the first, and the first one of a block that of
/// the block before.
const ANSWERS: f64 = 0.7;
const RESTATES: f64 = 0.45;
/// How likely an answer begins at the place in its bar where what it answers did.
const SAME_BEGINNING: f64 = 0.7;

/// Adds the phrases of a stretch of the form. `closing` is where the last chord of all begins, if
/// the stretch ends the line.
pub(super) fn add_phrases(
    form: &Form,
    eighths: &Range<i64>,
    closing: Option<i64>,
    request: &Request,
    phrases: &mut Vec<Phrase>,
) {
    let mut stream = Choice::Phrases { at: Ticks::EIGHTH * eighths.start }.stream(request.seed);
    let units = units(form, eighths, closing.is_some(), request.breathe, &mut stream);
    let first = phrases.len();
    for unit in units {
        let answers = unit.answers.map(|earlier| earlier + first).filter(|&e| e < phrases.len());
        let previous = phrases.get(first..).and_then(<[Phrase]>::last).copied();
        let earliest = previous.map_or(eighths.start, |p| p.start + SHORTEST + SHORTEST_SILENCE);
        let source = answers.map(|answers| phrases[answers]);
        let Some(start) = beginning(&unit, earliest, source, &mut stream) else { continue };
        phrases.push(Phrase {
            downbeat: unit.bars.start,
            start,
            last: start,
            end: unit.bars.end,
            answers,
        });
    }
    if phrases.len() == first {
        let downbeat = form.meter.bar().0 / Ticks::EIGHTH.0
            * (form.bar_number(Ticks::EIGHTH * eighths.start) - 1);
        phrases.push(Phrase {
            downbeat,
            start: eighths.start,
            last: eighths.start,
            end: eighths.end,
            answers: None,
        });
    }
    // Ends, now that it is known where the next phrase begins.
    for index in first..phrases.len() {
        let next = phrases.get(index + 1).map(|next| next.start);
        let phrase = &mut phrases[index];
        match (next, closing) {
            (None, Some(last_chord)) => {
                phrase.last =
                    closing_note(form, phrase.start, eighths.end, last_chord, request, &mut stream);
                let held = pick(&CLOSING_NOTES, |_| true, &mut stream).unwrap_or(4);
                phrase.end = eighths.end.min(phrase.last + held);
            }
            (None, None) => end(phrase, eighths.end, request, &mut stream),
            (Some(next), _) => {
                let silence = pick(&SILENCES, |_| true, &mut stream).unwrap_or(SHORTEST_SILENCE);
                let room = (next - phrase.start - SHORTEST).max(SHORTEST_SILENCE);
                end(phrase, next - silence.min(room), request, &mut stream);
            }
        }
    }
}

/// Where a phrase has room: some bars of the stretch.
struct Unit {
    bars: Range<i64>,
    /// An earlier unit, counted from the first of the stretch.
    answers: Option<usize>,
}

fn units(
    form: &Form,
    eighths: &Range<i64>,
    closes: bool,
    breathe: u32,
    stream: &mut Stream,
) -> Vec<Unit> {
    let bar = form.meter.bar().0 / Ticks::EIGHTH.0;
    let (mut from, to) = (eighths.start.div_euclid(bar), (eighths.end + bar - 1).div_euclid(bar));
    if breathe == 0 {
        return vec![Unit { bars: from * bar..to * bar, answers: None }];
    }
    let longest = i64::from(breathe);
    let mut units: Vec<Unit> = Vec::new();
    let mut block_before: Option<usize> = None;
    while from < to {
        let left = to - from;
        let divisions: &[Division] = match left {
            1 => &ONE_BAR,
            2 => &TWO_BARS,
            3 => &THREE_BARS,
            _ if bar <= SHORT_BAR => &FOUR_SHORT_BARS,
            _ => &FOUR_BARS,
        };
        // The last phrase of all needs room for an ending.
        let ends = |division: &[i64]| closes && left > 1 && division.iter().sum::<i64>() == left;
        let suits = |division: &[i64]| {
            division.iter().all(|&bars| bars <= longest)
                && !(ends(division) && division.last() == Some(&1))
        };
        let weights: Vec<f64> = divisions
            .iter()
            .map(|(division, weight)| if suits(division) { *weight } else { 0.0 })
            .collect();
        let chosen = stream.weighted(&weights).and_then(|index| divisions.get(index));
        let division = chosen.map_or(&[1][..], |(division, _)| division);
        let block = units.len();
        for (index, &bars) in division.iter().enumerate() {
            let answers = if index == 0 {
                block_before.filter(|_| stream.chance(RESTATES))
            } else {
                Some(block).filter(|_| stream.chance(ANSWERS))
            };
            units.push(Unit { bars: from * bar..(from + bars) * bar, answers });
            from += bars;
        }
        block_before = Some(block);
    }
    units
}

/// Where a phrase begins: not before `earliest`, and with room for it in its bars; `None` where
/// there is none.
fn beginning(
    unit: &Unit,
    earliest: i64,
    answers: Option<Phrase>,
    stream: &mut Stream,
) -> Option<i64> {
    let Range { start, end } = unit.bars;
    let fits = |offset: i64| start + offset >= earliest && end - (start + offset) > SHORTEST;
    let same = answers.map(|source| source.start - source.downbeat).filter(|&same| fits(same));
    let same = same.filter(|_| stream.chance(SAME_BEGINNING));
    let drawn = pick(&BEGINNINGS, fits, stream);
    let any = (earliest - start).max(0);
    let offset = same.or(drawn).or(Some(any).filter(|&any| fits(any)))?;
    Some(start + offset)
}

fn end(phrase: &mut Phrase, end: i64, request: &Request, stream: &mut Stream) {
    let start = phrase.start;
    let held_over = |length: i64| length > 2 || (length == 2 && (end - length) % 2 != 0);
    let ties = request.rhythm >= Rhythm::Ties;
    let fits = |length: i64| end - length > start + 1 && (ties || !held_over(length));
    let length = pick(&LAST_NOTES, fits, stream).unwrap_or(1);
    phrase.end = end.max(start + 1);
    phrase.last = (phrase.end - length).max(start);
}

/// Where the closing note begins: anywhere from the last bar line to the last strong beat, on the
/// last chord.
fn closing_note(
    form: &Form,
    start: i64,
    end: i64,
    last_chord: i64,
    request: &Request,
    stream: &mut Stream,
) -> i64 {
    let bar = form.meter.bar().0 / Ticks::EIGHTH.0;
    let bar_start = (end - 1).div_euclid(bar) * bar;
    let strong = form.strong_beats().last().map_or(0, |at| at.0 / Ticks::EIGHTH.0);
    let strong = bar_start + strong.max(1);
    let earliest = bar_start.max(last_chord).max(start + 2);
    let latest = strong.min(end - 1);
    if earliest > latest {
        return (end - 1).min(last_chord.max(start));
    }
    let places: Vec<i64> = (earliest..=latest).collect();
    // On the beats a little more often; off them it is held over one.
    let off_beat = if request.rhythm >= Rhythm::Ties { 2.0 } else { 0.0 };
    let weight = |&at: &i64| if form.is_beat(Ticks::EIGHTH * at) { 3.0 } else { off_beat };
    let weights: Vec<f64> = places.iter().map(weight).collect();
    let chosen = stream.weighted(&weights).and_then(|index| places.get(index));
    chosen.copied().unwrap_or(earliest)
}

/// One of some numbers by weight, of those that will do.
fn pick(from: &[(i64, f64)], will_do: impl Fn(i64) -> bool, stream: &mut Stream) -> Option<i64> {
    let weight = |&(number, weight): &(i64, f64)| if will_do(number) { weight } else { 0.0 };
    let weights: Vec<f64> = from.iter().map(weight).collect();
    stream.weighted(&weights).and_then(|index| from.get(index)).map(|&(number, _)| number)
}

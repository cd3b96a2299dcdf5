//! Fills phrases with cells.

use crate::melody::Form;
use crate::random::Stream;
use crate::units::{Meter, Ticks};

use super::cells::{Cell, cells_of_bar, vocabulary};
use super::phrases::Phrase;
use super::{Request, Rhythm, RhythmNote};
use crate::compose::streams::Choice;

/// What is new in a grade comes oftener than in solos, so that it is there to be practised.
const OF_THE_GRADE: f64 = 2.0;
/// The same cell again, and a third time.
const AGAIN: f64 = 0.5;
const THRICE: f64 = 0.15;
/// Where a technique needs several notes in a row: few notes in a cell, and every eighth note.
const FEW_FOR_GROUPS: f64 = 0.3;
const FULL_FOR_GROUPS: f64 = 1.5;
/// The longest that a note is held inside a phrase, in eighth notes.
const LONGEST_HELD: i64 = 4;

/// A cell in its place.
#[derive(Clone, Copy)]
struct Placed {
    /// In eighth notes from the phrase's downbeat.
    from: i64,
    eighths: i64,
    cell: &'static Cell,
}

impl Placed {
    fn waits(&self, meter: Meter) -> i64 {
        let last = self.cell.onsets(meter).last().map_or(0, |at| at.0 / Ticks::EIGHTH.0);
        self.eighths - last
    }
}

/// The notes of phrases. `in_groups` says where the technique takes several notes together.
pub(super) fn filled(
    form: &Form,
    phrases: &[Phrase],
    request: &Request,
    in_groups: impl Fn(Ticks) -> bool,
) -> Vec<RhythmNote> {
    let mut cells: Vec<Vec<Placed>> = Vec::new();
    let mut notes: Vec<RhythmNote> = Vec::new();
    for (index, phrase) in phrases.iter().enumerate() {
        let source = phrase.answers.and_then(|earlier| cells.get(earlier)).map(Vec::as_slice);
        let of_phrase = placed(form.meter, phrase, source, request, &in_groups);
        let mut new = notes_of(form, phrase, index, &of_phrase, request);
        if let Some(earlier) = phrase.answers {
            take_up(&notes, phrases, earlier, phrase, &mut new);
        }
        notes.extend(new);
        cells.push(of_phrase);
    }
    notes
}

/// Lets the notes of a phrase, up to its middle, take up those of an earlier phrase that stand at the
/// same places.
fn take_up(
    notes: &[RhythmNote],
    phrases: &[Phrase],
    earlier: usize,
    phrase: &Phrase,
    new: &mut [RhythmNote],
) {
    let Some(model) = phrases.get(earlier) else { return };
    let later = Ticks::EIGHTH * (phrase.downbeat - model.downbeat);
    let middle = Ticks::EIGHTH * ((phrase.start + phrase.last) / 2);
    for note in new.iter_mut().filter(|note| note.at <= middle) {
        let place = notes.binary_search_by_key(&(note.at - later), |other| other.at);
        let other = place.ok().and_then(|index| notes.get(index));
        note.answers = other.filter(|other| other.phrase == earlier).map(|other| other.at);
    }
}

/// The cells of a phrase. One that answers has the cells of what it answers up to its middle.
fn placed(
    meter: Meter,
    phrase: &Phrase,
    source: Option<&[Placed]>,
    request: &Request,
    in_groups: impl Fn(Ticks) -> bool,
) -> Vec<Placed> {
    let at = Ticks::EIGHTH * phrase.start;
    let mut stream = Choice::Cells { at }.stream(request.seed);
    let mut placed: Vec<Placed> = Vec::new();
    let (first, last) = (phrase.start - phrase.downbeat, phrase.last - phrase.downbeat);
    let middle = (first + last) / 2;
    for (from, eighths) in windows(meter, first, last) {
        let known = source.into_iter().flatten().find(|known| known.from == from);
        let window = Window {
            begins: (from <= first).then(|| first - from),
            ends: (last < from + eighths).then(|| last - from),
            waits: placed.last().map_or(0, |before| before.waits(meter)),
            groups: in_groups(Ticks::EIGHTH * (phrase.downbeat + from)),
        };
        let copied =
            known.filter(|known| from <= middle && window.takes(meter, known.cell, request));
        let cell = match copied {
            Some(known) => known.cell,
            None => window.chosen(meter, vocabulary(meter, eighths), &placed, request, &mut stream),
        };
        placed.push(Placed { from, eighths, cell });
    }
    placed
}

/// The windows of cells from a place to another, both in eighth notes from a downbeat.
fn windows(meter: Meter, first: i64, last: i64) -> impl Iterator<Item = (i64, i64)> {
    let bar: i64 = cells_of_bar(meter).iter().sum();
    let bars = first.div_euclid(bar)..=last.div_euclid(bar);
    let all = bars.flat_map(move |number| {
        let mut from = number * bar;
        cells_of_bar(meter).iter().map(move |&eighths| {
            from += eighths;
            (from - eighths, eighths)
        })
    });
    all.filter(move |(from, eighths)| from + eighths > first && *from <= last)
}

/// What a cell has to fit.
struct Window {
    /// Where in it the phrase begins, in eighth notes, if it does.
    begins: Option<i64>,
    /// Where in it the phrase's last note begins.
    ends: Option<i64>,
    /// Eighth notes from the last note of the cell before to the end of that cell.
    waits: i64,
    /// Whether the technique takes several notes together.
    groups: bool,
}

impl Window {
    fn takes(&self, meter: Meter, cell: &Cell, request: &Request) -> bool {
        let onsets = cell.onsets(meter);
        let has = |place: Option<i64>| {
            place.is_none_or(|eighth| onsets.contains(&(Ticks::EIGHTH * eighth)))
        };
        // A beat without a note of its own inside a phrase is a tie.
        let tied = self.begins.is_none() && onsets.first() != Some(&Ticks::ZERO);
        let first = onsets.first().map_or(0, |at| at.0 / Ticks::EIGHTH.0);
        cell.rhythm <= request.rhythm
            && self.waits + first <= LONGEST_HELD
            && has(self.begins)
            && has(self.ends)
            && (!tied || request.rhythm >= Rhythm::Ties)
    }

    fn chosen(
        &self,
        meter: Meter,
        vocabulary: &'static [Cell],
        before: &[Placed],
        request: &Request,
        stream: &mut Stream,
    ) -> &'static Cell {
        let mut latest = before.iter().rev();
        let last_two = [latest.next(), latest.next()].map(|p| p.map(|p| p.cell.beats));
        let weight = |cell: &Cell| {
            if !self.takes(meter, cell, request) {
                return 0.0;
            }
            let mut weight = cell.weight;
            if cell.rhythm == request.rhythm && cell.rhythm > Rhythm::OffBeats {
                weight *= OF_THE_GRADE;
            }
            if last_two == [Some(cell.beats); 2] {
                weight *= THRICE;
            } else if last_two[0] == Some(cell.beats) {
                weight *= AGAIN;
            }
            if self.groups && self.begins.is_none() && self.ends.is_none() {
                let rests = cell.beats.matches('.').count();
                weight *= if rests == 0 { FULL_FOR_GROUPS } else { FEW_FOR_GROUPS };
            }
            weight
        };
        let weights: Vec<f64> = vocabulary.iter().map(weight).collect();
        // The first cell of every vocabulary has all eighth notes, and fits everywhere.
        let index = stream.weighted(&weights).unwrap_or(0);
        &vocabulary[index]
    }
}

/// The notes of a phrase: each is held up to the next one, but not too long, and without ties not over
/// a beat; the last as long as the plan says.
fn notes_of(
    form: &Form,
    phrase: &Phrase,
    index: usize,
    cells: &[Placed],
    request: &Request,
) -> Vec<RhythmNote> {
    let (first, last) = (Ticks::EIGHTH * phrase.start, Ticks::EIGHTH * phrase.last);
    let onsets = cells.iter().flat_map(|placed| {
        let from = Ticks::EIGHTH * (phrase.downbeat + placed.from);
        placed.cell.onsets(form.meter).into_iter().map(move |onset| from + onset)
    });
    let onsets: Vec<Ticks> = onsets.filter(|at| (first..=last).contains(at)).collect();
    let ends = onsets.iter().copied().skip(1).map(Some).chain([None]);
    onsets
        .iter()
        .zip(ends)
        .map(|(&at, next)| {
            let end = match next {
                Some(next) if request.rhythm < Rhythm::Ties && !form.is_beat(at) => {
                    next.min(at + Ticks::EIGHTH)
                }
                Some(next) => next.min(at + Ticks::EIGHTH * LONGEST_HELD),
                None => Ticks::EIGHTH * phrase.end,
            };
            RhythmNote { at, length: end - at, phrase: index, answers: None }
        })
        .collect()
}

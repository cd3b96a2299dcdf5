//! The best line through all notes, by beam search.
//!
//! A line is built note by note. Of all extensions, the cheapest 64 that differ in what
//! the future depends on (the last two notes, the bar so far, the two bars before) are kept. What
//! a line costs is in [`super::cost`].

mod cheapest;

use std::ops::Range;

use super::approach::leads;
use super::candidates::candidates;
use super::cost;
use super::steps::Step;
use crate::style::{BassRegister, BassRole};
use cheapest::{Cheapest, Extension};

/// What the future of a line depends on.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    last: u8,
    before_last: Option<u8>,
    /// Degrees of the bar so far, four bits a note, each one more than semitones above the root.
    bar: u64,
    /// The two bars before, the nearer one first; 0 where they do not count.
    bars_before: [u64; 2],
    /// The first note, where the line must lead back to it.
    first: u8,
}

/// One of the lines that are followed.
#[derive(Debug, Clone, Copy, Default)]
struct Line {
    cost: i64,
    state: State,
}

/// The last note of a line: its pitch, and the line's place among those that were followed before
/// it.
type Trace = (u8, u8);

/// One pitch for each step. `chance` gives the random part of what a pitch costs at a step;
/// `loops` has the last note lead back to the first.
pub(super) fn best_line(
    steps: &[Step],
    register: BassRegister,
    loops: bool,
    mut chance: impl FnMut(usize, u8) -> i64,
) -> Vec<u8> {
    let mut lines = vec![Line::default()];
    let (mut trail, mut places): (Vec<Trace>, Vec<usize>) = Default::default();
    for (index, step) in steps.iter().enumerate() {
        let next = steps.get(index + 1).or_else(|| steps.first().filter(|_| loops));
        let pitches = candidates(step, next, register);
        let mut costs: Vec<PitchCost> = pitches
            .into_iter()
            .map(|pitch| {
                let cost = cost::of_pitch(step, pitch) + chance(index, pitch);
                PitchCost { cost, pitch }
            })
            .collect();
        costs.sort_unstable();
        let extender = Extender::new(steps, index, loops);
        places.push(trail.len());
        lines = extender.longer(&lines, &costs, &mut trail);
    }
    walk_back(&trail, &places)
}

/// The pitches of the best line: the first of those that were followed to the end.
fn walk_back(trail: &[Trace], places: &[usize]) -> Vec<u8> {
    let mut line = 0;
    let mut pitches: Vec<u8> = places
        .iter()
        .rev()
        .filter_map(|first| {
            let (pitch, before) = trail.get(first + line)?;
            line = usize::from(*before);
            Some(*pitch)
        })
        .collect();
    pitches.reverse();
    pitches
}

/// What a pitch costs by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct PitchCost {
    cost: i64,
    pitch: u8,
}

/// Extends lines by the note of one step.
struct Extender<'a> {
    step: &'a Step,
    /// The step before it; none at the beginning, where there is one line without a note.
    before: Option<&'a Step>,
    /// Whether it ends its bar.
    ends_bar: bool,
    /// Whether its bar left a choice.
    is_free: bool,
    /// The first step, where this is the last one and has to lead back.
    back: Option<&'a Step>,
    /// Whether it is the first step of a line that has to lead back.
    is_led_back_to: bool,
}

/// A line before its next note is added.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    /// What the future depends on but for the note: its pitch is 0, and its degree.
    state: State,
    /// Its place among the lines.
    place: u8,
    line: Line,
}

impl Waiting {
    /// Lines of one state come together.
    fn order(&self) -> (&State, u8) {
        (&self.state, self.place)
    }
}

impl<'a> Extender<'a> {
    fn new(steps: &'a [Step], index: usize, loops: bool) -> Extender<'a> {
        let step = &steps[index];
        let of_the_bar = steps[..=index].iter().rev().take_while(|other| other.bar == step.bar);
        let free = [BassRole::Chord, BassRole::Walk, BassRole::Approach];
        Extender {
            step,
            before: index.checked_sub(1).map(|before| &steps[before]),
            ends_bar: steps.get(index + 1).is_none_or(|next| next.bar != step.bar),
            is_free: of_the_bar.into_iter().any(|step| free.contains(&step.role)),
            back: steps.first().filter(|_| loops && index + 1 == steps.len()),
            is_led_back_to: loops && index == 0,
        }
    }

    /// The cheapest lines that differ in state, the best first. Equal costs are told apart by state,
    /// then by the order of the lines, so that the order in which they are looked at never decides.
    fn longer(&self, lines: &[Line], costs: &[PitchCost], trail: &mut Vec<Trace>) -> Vec<Line> {
        let waiting: Vec<Waiting> =
            (0_u8..).zip(lines).map(|(place, line)| self.waiting(*line, place)).collect();
        // They are large, and stay where they are.
        let mut waiting: Vec<&Waiting> = waiting.iter().collect();
        waiting.sort_unstable_by(|one, other| one.order().cmp(&other.order()));
        let alike = alike(&waiting);
        let mut cheapest = Cheapest::default();
        // Cheap pitches first: the sooner it is known what is too dear.
        for &PitchCost { cost, pitch } in costs {
            for (least, lines) in &alike {
                if !cheapest.may_take(least + cost) {
                    continue;
                }
                let before = waiting[usize::from(lines.start)].line.state.last;
                let cost = cost + self.cost_of_move(before, pitch);
                if !cheapest.may_take(least + cost) {
                    continue;
                }
                let extension = |line| {
                    let waiting = waiting[usize::from(line)];
                    (cost + self.cost(waiting, pitch), (pitch, line))
                };
                cheapest.offer(lines.clone().map(extension));
            }
        }
        let longer = |(cost, (pitch, line)): Extension| {
            let waiting = waiting[usize::from(line)];
            trail.push((pitch, waiting.place));
            Line { cost, state: self.with_note(waiting.state, pitch) }
        };
        cheapest.sorted().into_iter().map(longer).collect()
    }

    fn waiting(&self, line: Line, place: u8) -> Waiting {
        let known = line.state;
        let rests = self.before.is_some_and(|before| self.step.bar > before.bar + 1);
        let bars_before = if rests { [0, 0] } else { known.bars_before };
        let mut state = State {
            last: 0,
            before_last: self.before.map(|_| known.last),
            bar: known.bar << 4,
            bars_before,
            first: known.first,
        };
        if self.ends_bar {
            // A pattern of degrees may fill two bars, not three; bars that leave no choice (a root
            // on every beat, a style of roots and fifths) do not count.
            state.bars_before = [if self.is_free { state.bar } else { 0 }, bars_before[0]];
            state.bar = 0;
        }
        Waiting { state, place, line: Line { state: State { bars_before, ..known }, ..line } }
    }

    fn with_note(&self, mut state: State, pitch: u8) -> State {
        let degree = u64::from(self.step.tones.above_root(pitch) + 1);
        state.last = pitch;
        match (self.ends_bar, self.is_free) {
            (false, _) => state.bar |= degree,
            (true, true) => state.bars_before[0] |= degree,
            (true, false) => {}
        }
        if self.is_led_back_to {
            state.first = pitch;
        }
        state
    }

    /// What a note costs after another one, whatever else the line has in it.
    fn cost_of_move(&self, from: u8, to: u8) -> i64 {
        let Some(before) = self.before else { return 0 };
        let is_lost = before.role == BassRole::Approach && !leads(before, from, self.step, to);
        let broken = if is_lost { cost::BROKEN_RULE } else { 0 };
        cost::of_move((before, from), (self.step, to)) + cost::of_leaving(before, from, to) + broken
    }

    /// The rest of what a line costs with one more note.
    fn cost(&self, waiting: &Waiting, pitch: u8) -> i64 {
        let Line { cost, state } = waiting.line;
        let shape = state.before_last.zip(self.before).map(|(before, step)| {
            cost::of_shape(before, state.last, pitch)
                + cost::of_resolving(step, before, state.last, pitch)
        });
        let mut cost = cost + shape.unwrap_or(0);
        if self.ends_bar {
            let [pattern, _] = self.with_note(waiting.state, pitch).bars_before;
            if pattern != 0 && pattern == state.bars_before[0] {
                cost += cost::SAME_PATTERN;
                if pattern == state.bars_before[1] {
                    cost += cost::BROKEN_RULE;
                }
            }
        }
        if let Some(back) = self.back {
            let first = if self.is_led_back_to { pitch } else { state.first };
            cost += cost::of_move((self.step, pitch), (back, first));
            if self.step.role == BassRole::Approach && !leads(self.step, pitch, back, first) {
                cost += cost::BROKEN_RULE;
            }
        }
        cost
    }
}

/// Lines in order of their state cut where it changes, each stretch with the least cost in it.
fn alike(waiting: &[&Waiting]) -> Vec<(i64, Range<u8>)> {
    let mut from = 0;
    let stretches = waiting.chunk_by(|one, next| one.state == next.state).map(|lines| {
        let least = lines.iter().map(|waiting| waiting.line.cost).min().unwrap_or(0);
        // Lines are numbered in 8 bits: there are 64 at the most.
        let stretch = from..lines.iter().fold(from, |end, _| end + 1);
        from = stretch.end;
        (least, stretch)
    });
    stretches.collect()
}

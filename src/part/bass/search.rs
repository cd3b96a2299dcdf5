//! The best line through all notes, by beam search.
//!
//! A line is built note by note. Of all ways to go on, the cheapest [`WIDTH`] that differ in what
//! the future depends on (the last two notes, the bar so far, the two bars before) are kept. What
//! a line costs is in [`super::cost`].

use std::collections::BTreeSet;

use super::approach::leads;
use super::candidates::candidates;
use super::cost;
use super::steps::Step;
use crate::style::{BassRegister, BassRole};

/// How many lines are followed at a time.
const WIDTH: usize = 64;
/// Several lines may share a state; a few times as many as are kept are enough to look at.
const LOOKS: usize = 6;

/// What the future of a line depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
#[derive(Debug, Clone, Copy)]
struct Line {
    cost: i64,
    state: State,
    /// Its last note in the trail.
    note: usize,
}

/// A note of a line and the one before it.
struct Trail {
    notes: Vec<(u8, Option<usize>)>,
}

impl Trail {
    fn add(&mut self, pitch: u8, before: Option<usize>) -> usize {
        self.notes.push((pitch, before));
        self.notes.len() - 1
    }

    fn back_from(&self, mut note: usize) -> Vec<u8> {
        let mut pitches = Vec::new();
        while let Some((pitch, before)) = self.notes.get(note) {
            pitches.push(*pitch);
            match before {
                Some(before) => note = *before,
                None => break,
            }
        }
        pitches.reverse();
        pitches
    }
}

/// One pitch for each step. `chance` gives the random part of what a pitch costs at a step;
/// `loops` has the last note lead back to the first.
pub(super) fn best_line(
    steps: &[Step],
    register: BassRegister,
    loops: bool,
    mut chance: impl FnMut(usize, u8) -> i64,
) -> Vec<u8> {
    let mut trail = Trail { notes: Vec::new() };
    let mut lines: Vec<Line> = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        let next = steps.get(index + 1).or_else(|| steps.first().filter(|_| loops));
        let pitches = candidates(step, next, register);
        let costs: Vec<(u8, i64)> = pitches
            .into_iter()
            .map(|pitch| (pitch, cost::of_pitch(step, pitch, register) + chance(index, pitch)))
            .collect();
        let bar_ends = steps.get(index + 1).is_none_or(|next| next.bar != step.bar);
        let before = index.checked_sub(1).and_then(|before| steps.get(before));
        let ways = ways(&lines, before, step, &costs);
        let longer = |way: &Way| match before {
            None => begin(step, way, loops),
            Some(before) => go_on(&lines[way.line], before, step, way),
        };
        lines = if bar_ends {
            // What the bar is like adds to what a line costs.
            let mut longer: Vec<Line> = ways.iter().map(longer).collect();
            longer.iter_mut().for_each(|line| end_bar(line, steps, index));
            if loops && index + 1 == steps.len() {
                longer.iter_mut().for_each(|line| lead_back(line, step, &steps[0]));
            }
            cheapest(longer.len(), |line| longer[line].cost, |line| longer[line])
        } else {
            cheapest(ways.len(), |way| ways[way].cost, |way| longer(&ways[way]))
        };
        for line in &mut lines {
            let before = (index > 0).then_some(line.note);
            line.note = trail.add(line.state.last, before);
        }
    }
    lines.first().map(|best| trail.back_from(best.note)).unwrap_or_default()
}

fn begin(step: &Step, way: &Way, loops: bool) -> Line {
    let pitch = way.pitch;
    let state = State {
        last: pitch,
        before_last: None,
        bar: with_degree(0, step, pitch),
        bars_before: [0, 0],
        first: if loops { pitch } else { 0 },
    };
    Line { cost: way.cost, state, note: 0 }
}

/// One of the ways to go on: a line, one more note, and what both cost.
#[derive(Debug, Clone, Copy)]
struct Way {
    cost: i64,
    line: usize,
    pitch: u8,
}

/// All ways to go on, or to begin where there is nothing before.
fn ways(lines: &[Line], before: Option<&Step>, step: &Step, costs: &[(u8, i64)]) -> Vec<Way> {
    let Some(before) = before else {
        return costs.iter().map(|&(pitch, cost)| Way { cost, line: 0, pitch }).collect();
    };
    let mut ways = Vec::with_capacity(lines.len() * costs.len());
    for &(pitch, pitch_cost) in costs {
        ways.extend(lines.iter().enumerate().map(|(number, line)| {
            let cost = line.cost + pitch_cost + cost_of_going_on(line, before, step, pitch);
            Way { cost, line: number, pitch }
        }));
    }
    ways
}

/// The line with one more note.
fn go_on(line: &Line, before: &Step, step: &Step, way: &Way) -> Line {
    let (state, pitch) = (line.state, way.pitch);
    let bars_before = if step.bar > before.bar + 1 { [0, 0] } else { state.bars_before };
    let state = State {
        last: pitch,
        before_last: Some(state.last),
        bar: with_degree(state.bar, step, pitch),
        bars_before,
        first: state.first,
    };
    Line { cost: way.cost, state, note: line.note }
}

fn with_degree(bar: u64, step: &Step, pitch: u8) -> u64 {
    bar << 4 | u64::from(step.tones.above_root(pitch) + 1)
}

fn cost_of_going_on(line: &Line, before: &Step, step: &Step, pitch: u8) -> i64 {
    let from = line.state.last;
    let mut cost = cost::of_move(from, pitch) + cost::of_leaving(before, from, pitch);
    if let Some(before_last) = line.state.before_last {
        cost += cost::of_shape(before_last, from, pitch);
    }
    if before.role == BassRole::Approach && !leads(before, from, step, pitch) {
        cost += cost::BROKEN_RULE;
    }
    cost
}

/// Counts a bar that ends with `steps[last]`. A pattern of degrees may fill two bars, not three;
/// bars that leave no choice (a root on every beat, a style of roots and fifths) do not count.
fn end_bar(line: &mut Line, steps: &[Step], last: usize) {
    let state = &mut line.state;
    let bar = steps.get(last).map_or(0, |step| step.bar);
    let of_the_bar = steps[..=last].iter().rev().take_while(|step| step.bar == bar);
    let free = [BassRole::Chord, BassRole::Walk, BassRole::Approach];
    let pattern =
        if of_the_bar.into_iter().any(|step| free.contains(&step.role)) { state.bar } else { 0 };
    if pattern != 0 && pattern == state.bars_before[0] {
        line.cost += cost::SAME_PATTERN;
        if pattern == state.bars_before[1] {
            line.cost += cost::BROKEN_RULE;
        }
    }
    state.bars_before = [pattern, state.bars_before[0]];
    state.bar = 0;
}

/// Closes a loop.
fn lead_back(line: &mut Line, last: &Step, first: &Step) {
    let State { last: from, first: to, .. } = line.state;
    line.cost += cost::of_move(from, to);
    if last.role == BassRole::Approach && !leads(last, from, first, to) {
        line.cost += cost::BROKEN_RULE;
    }
}

/// Of so many lines the cheapest that differ in state, the best first. Equal costs are told apart
/// by state, so that the order in which lines were made never decides.
fn cheapest(count: usize, cost: impl Fn(usize) -> i64, line: impl Fn(usize) -> Line) -> Vec<Line> {
    let order = |one: &(i64, usize), other: &(i64, usize)| {
        let rest = |number| {
            let Line { state, note, .. } = line(number);
            (state, note)
        };
        one.0.cmp(&other.0).then_with(|| rest(one.1).cmp(&rest(other.1)))
    };
    let mut ranks: Vec<(i64, usize)> = (0..count).map(|number| (cost(number), number)).collect();
    let mut unsorted = ranks.as_mut_slice();
    let (mut kept, mut seen) = (Vec::with_capacity(WIDTH), BTreeSet::new());
    for _ in 0..LOOKS {
        let next = WIDTH.min(unsorted.len());
        if next == 0 {
            break;
        }
        unsorted.select_nth_unstable_by(next - 1, order);
        let (sorted, later) = unsorted.split_at_mut(next);
        sorted.sort_unstable_by(order);
        for (_, number) in sorted {
            let line = line(*number);
            if kept.len() < WIDTH && seen.insert(line.state) {
                kept.push(line);
            }
        }
        unsorted = later;
        if kept.len() == WIDTH {
            break;
        }
    }
    kept
}

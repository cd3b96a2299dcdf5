//! Finds the line: from place to place the best ways so far are kept, those that come to the same
//! notes becoming one.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use crate::melody::{Piece, Technique};
use crate::units::Meter;

use super::cost::{self, Lay};
use super::grid::{Place, PlaceKind};
use super::ground::Ground;
use super::group::Group;
use super::join::{Join, is_scale_step, slots};
use super::show::{self, Site};
use super::{ComposedNote, Request};

mod accident;
mod repeats;
mod trace;

use repeats::Bars;

/// How many ways are kept for each last note.
const WAYS_A_NOTE: usize = 4;

/// A note of a way, and the piece that it is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Heard {
    pub(super) pitch: u8,
    pub(super) piece: usize,
}

/// One way to a place.
#[derive(Debug, Clone, Copy)]
struct Way {
    cost: f64,
    /// The step that led here; none at the start. Until the way is kept, the one before it.
    step: Option<usize>,
    /// The group that is new, until the way is kept: its place and its number there.
    taken: Option<(usize, usize)>,
    last: Option<Heard>,
    before: Option<Heard>,
    /// Leaps in one direction that the way ends with; upwards positive.
    leaps: i8,
    /// The bars so far.
    bars: Option<usize>,
}

/// A group on a place, and the step before it.
#[derive(Debug, Clone, Copy)]
struct Step {
    parent: Option<usize>,
    place: usize,
    group: usize,
}

/// Composes over a grid. Where there is no way on, the error is the place that none reaches.
pub(super) fn search(
    meter: Meter,
    grid: &[Place],
    grounds: &[Option<Ground>],
    pieces: &[Piece],
    request: &Request,
    range: &RangeInclusive<u8>,
) -> Result<Vec<ComposedNote>, usize> {
    let slots = slots(grid, |piece| pieces[piece].assignment.technique);
    let names: Vec<&str> = request.techniques.iter().map(|share| share.technique.name()).collect();
    let candidates = (0..grid.len())
        .map(|index| {
            let slots = &slots;
            show::groups(&Site { grid, slots, grounds, pieces, range, meter, index })
        })
        .collect();
    let search = Search {
        grid,
        grounds,
        pieces,
        candidates,
        lay: Lay::new(grid, &names.join(" "), request.seed, range, |place| {
            pieces[place.piece].assignment.technique
        }),
    };
    search.run()
}

struct Search<'a> {
    grid: &'a [Place],
    grounds: &'a [Option<Ground>],
    pieces: &'a [Piece],
    /// What can stand on each place.
    candidates: Vec<Vec<Group>>,
    lay: Lay,
}

impl Search<'_> {
    fn run(&self) -> Result<Vec<ComposedNote>, usize> {
        let start = Way {
            cost: 0.0,
            step: None,
            taken: None,
            last: None,
            before: None,
            leaps: 0,
            bars: None,
        };
        let mut ways: Vec<Vec<Way>> = vec![Vec::new(); self.grid.len() + 1];
        ways[0].push(start);
        let mut steps: Vec<Step> = Vec::new();
        let mut bars = Bars::default();
        for index in 0..self.grid.len() {
            let mut here = keep(best(std::mem::take(&mut ways[index])), &mut steps);
            if index > 0 && self.grid[index].bar != self.grid[index - 1].bar {
                self.end_bar(&mut here, &steps, &mut bars, index);
            }
            for way in here {
                self.go_on(way, index, &mut ways, &steps);
            }
            let reached = ways[index + 1..].iter().any(|ways| !ways.is_empty());
            if !reached {
                return Err(index);
            }
        }
        let mut ends = keep(best(std::mem::take(&mut ways[self.grid.len()])), &mut steps);
        self.end_bar(&mut ends, &steps, &mut bars, self.grid.len());
        let end = ends.into_iter().min_by(|way, other| way.cost.total_cmp(&other.cost));
        let end = end.ok_or(self.grid.len().saturating_sub(1))?;
        Ok(self.notes(end, &steps))
    }

    /// All ways on from a way.
    fn go_on(&self, way: Way, index: usize, ways: &mut [Vec<Way>], steps: &[Step]) {
        if self.grid[index].kind == PlaceKind::Rest {
            ways[index + 1].push(way);
            return;
        }
        let previous = way.step.map(|step| {
            let step = steps[step];
            &self.candidates[step.place][step.group]
        });
        for (number, group) in self.candidates[index].iter().enumerate() {
            if let Some(mut next) = self.with(way, group, previous, index) {
                next.taken = Some((index, number));
                ways[index + group.places].push(next);
            }
        }
    }

    /// A way with a group added, if the group may follow it.
    fn with(&self, way: Way, group: &Group, previous: Option<&Group>, index: usize) -> Option<Way> {
        let technique = self.technique(index);
        if !self.may_follow(way, group, index) {
            return None;
        }
        let mut next = way;
        next.cost += group.cost;
        for (number, note) in group.notes.iter().enumerate() {
            let place = index + number.min(group.places - 1);
            let piece = self.grid[place].piece;
            let heard = Heard { pitch: note.pitch, piece };
            if let Some(last) = next.last {
                let interval = interval(last.pitch, note.pitch);
                next.leaps = leaps(next.leaps, interval);
                let counts = !technique.is_arpeggio_or_stack()
                    && !self.pieces[last.piece].assignment.technique.is_arpeggio_or_stack();
                if counts && next.leaps.abs() > 2 {
                    return None;
                }
                // Inside a group the technique has said what it likes.
                if number == 0 {
                    next.cost += cost::interval(technique, interval);
                    let before = next.before.map_or(0, |b| self::interval(b.pitch, last.pitch));
                    next.cost += cost::motion(technique, before, interval);
                }
            }
            next.cost += self.lay.cost(place, note.pitch);
            if accident::happens(self, next, heard, number, group) {
                return None;
            }
            next.before = next.last;
            next.last = Some(heard);
        }
        if let Some(last) = way.last {
            next.cost += self.sameness(way, last, group, previous);
        }
        Some(next)
    }

    fn sameness(&self, way: Way, last: Heard, group: &Group, previous: Option<&Group>) -> f64 {
        let before = way.before.map(|before| before.pitch);
        let mut cost = cost::sameness(last.pitch, before, &group.notes);
        if let Some(previous) = previous.filter(|previous| previous.places > 1) {
            if group.turn.is_some() && group.turn == previous.turn {
                cost += cost::OUT_OF_TURN;
            }
            if previous.notes == group.notes && group.notes.len() > 2 {
                cost += cost::BAR_AGAIN;
            }
        }
        cost
    }

    /// Whether a group's first note may follow the last one of a way.
    fn may_follow(&self, way: Way, group: &Group, index: usize) -> bool {
        let (Some(last), Some((first, _))) = (way.last, group.ends()) else { return true };
        let piece = self.grid[index].piece;
        let (Some(from), Some(to)) = (&self.grounds[last.piece], &self.grounds[piece]) else {
            return true;
        };
        let between_tones = from.tone_set.contains(last.pitch) && to.tone_set.contains(first);
        let scale_step =
            group.join == Join::StepOrChordSkip && is_scale_step(to.scale_set, last.pitch, first);
        group.join.allows(interval(last.pitch, first), between_tones, scale_step)
    }

    fn technique(&self, index: usize) -> Technique {
        self.pieces[self.grid[index].piece].assignment.technique
    }
}

/// The best ways for each last note, one for each two last notes and number of leaps.
fn best(mut ways: Vec<Way>) -> Vec<Way> {
    ways.sort_by(|way, other| way.cost.total_cmp(&other.cost));
    let mut kept: BTreeMap<Option<u8>, Vec<Way>> = BTreeMap::new();
    for way in ways {
        let same_end = kept.entry(way.last.map(|last| last.pitch)).or_default();
        let known = |other: &Way| other.before == way.before && other.leaps == way.leaps;
        if same_end.len() < WAYS_A_NOTE && !same_end.iter().any(known) {
            same_end.push(way);
        }
    }
    kept.into_values().flatten().collect()
}

/// Writes down the steps of the ways that are kept.
fn keep(mut ways: Vec<Way>, steps: &mut Vec<Step>) -> Vec<Way> {
    for way in &mut ways {
        if let Some((place, group)) = way.taken.take() {
            steps.push(Step { parent: way.step, place, group });
            way.step = Some(steps.len() - 1);
        }
    }
    ways
}

/// Semitones from one pitch to another, upwards positive.
fn interval(from: u8, to: u8) -> i8 {
    i8::try_from(i16::from(to) - i16::from(from)).unwrap_or(i8::MAX)
}

/// The number of leaps in one direction after another interval.
fn leaps(before: i8, interval: i8) -> i8 {
    if interval.abs() <= cost::LARGEST_SKIP {
        0
    } else if before.signum() * interval.signum() > 0 {
        before.saturating_add(interval.signum())
    } else {
        interval.signum()
    }
}

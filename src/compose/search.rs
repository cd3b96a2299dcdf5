//! Finds the line: from position to position the best paths so far are kept, those that come to the same
//! notes becoming one.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use crate::melody::{Piece, Technique};

use super::contour::contour;
use super::cost::{self, PitchCosts};
use super::grid::Position;
use super::ground::Ground;
use super::group::Group;
use super::join::{Join, is_scale_step, slots};
use super::motif::wanted;
use super::show::{self, PositionContext};
use super::{ComposedNote, Request};

mod repeats;
mod trace;
mod unintended;

use repeats::Bars;

/// How many paths are kept for each last note.
const PATHS_A_NOTE: usize = 4;

/// A note of a path, and the piece that it is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PathNote {
    pub(super) pitch: u8,
    pub(super) piece: usize,
}

/// One path to a position.
#[derive(Debug, Clone, Copy)]
struct Path {
    cost: f64,
    /// The step that led here; none at the start. Until the path is kept, the one before it.
    step: Option<usize>,
    /// The group that is new, until the path is kept: its position and its number there.
    taken: Option<(usize, usize)>,
    last: Option<PathNote>,
    before: Option<PathNote>,
    /// Leaps in one direction that the path ends with; upwards positive.
    leaps: i8,
    /// The bars so far.
    bars: Option<usize>,
}

/// A group on a position, and the step before it.
#[derive(Debug, Clone, Copy)]
struct Step {
    parent: Option<usize>,
    position: usize,
    group: usize,
}

/// Composes over a grid: a draft, and the line again with phrases that answer those of the draft. Where
/// no path goes on, the error is the position that none reaches.
pub(super) fn search(
    grid: &[Position],
    grounds: &[Option<Ground>],
    pieces: &[Piece],
    request: &Request,
    techniques: &str,
    range: &RangeInclusive<u8>,
) -> Result<Vec<ComposedNote>, usize> {
    let slots = slots(grid, |piece| pieces[piece].assignment.technique);
    let candidates = (0..grid.len())
        .map(|index| {
            let slots = &slots;
            let upper = request.upper;
            show::groups(&PositionContext { grid, slots, grounds, pieces, upper, range, index })
        })
        .collect();
    let contour = contour(grid, techniques, request.seed, request.rhythm, range);
    let technique_of = |position: &Position| pieces[position.piece].assignment.technique;
    let costs = |wanted: &[Option<u8>]| {
        let seed = request.seed;
        PitchCosts::new(grid, &contour, wanted, techniques, seed, range, technique_of)
    };
    let pitch_costs = costs(&[]);
    let mut search = Search { grid, grounds, pieces, candidates, pitch_costs };
    let draft = search.run()?;
    if grid.iter().all(|position| position.model.is_none()) {
        return Ok(draft);
    }
    let wanted = wanted(grid, &draft, pieces, request, techniques, range);
    search.pitch_costs = costs(&wanted);
    search.run()
}

struct Search<'a> {
    grid: &'a [Position],
    grounds: &'a [Option<Ground>],
    pieces: &'a [Piece],
    /// What can stand on each position.
    candidates: Vec<Vec<Group>>,
    pitch_costs: PitchCosts,
}

impl Search<'_> {
    fn run(&self) -> Result<Vec<ComposedNote>, usize> {
        let start = Path {
            cost: 0.0,
            step: None,
            taken: None,
            last: None,
            before: None,
            leaps: 0,
            bars: None,
        };
        let mut paths: Vec<Vec<Path>> = vec![Vec::new(); self.grid.len() + 1];
        paths[0].push(start);
        let mut steps: Vec<Step> = Vec::new();
        let mut bars = Bars::default();
        for index in 0..self.grid.len() {
            let mut here = keep(best(std::mem::take(&mut paths[index])), &mut steps);
            if index > 0 && self.grid[index].bar != self.grid[index - 1].bar {
                self.end_bar(&mut here, &steps, &mut bars, index);
            }
            for path in here {
                self.go_on(path, index, &mut paths, &steps);
            }
            let reached = paths[index + 1..].iter().any(|paths| !paths.is_empty());
            if !reached {
                return Err(index);
            }
        }
        let mut ends = keep(best(std::mem::take(&mut paths[self.grid.len()])), &mut steps);
        self.end_bar(&mut ends, &steps, &mut bars, self.grid.len());
        let end = ends.into_iter().min_by(|path, other| path.cost.total_cmp(&other.cost));
        let end = end.ok_or(self.grid.len().saturating_sub(1))?;
        Ok(self.notes(end, &steps))
    }

    /// A path with each group that may follow it.
    fn go_on(&self, path: Path, index: usize, paths: &mut [Vec<Path>], steps: &[Step]) {
        let previous = path.step.map(|step| {
            let step = steps[step];
            &self.candidates[step.position][step.group]
        });
        for (number, group) in self.candidates[index].iter().enumerate() {
            if let Some(mut next) = self.with(path, group, previous, index) {
                next.taken = Some((index, number));
                paths[index + group.notes.len()].push(next);
            }
        }
    }

    /// A path with a group added, if the group may follow it.
    fn with(
        &self,
        path: Path,
        group: &Group,
        previous: Option<&Group>,
        index: usize,
    ) -> Option<Path> {
        let technique = self.technique(index);
        if !self.may_follow(path, group, index) {
            return None;
        }
        let mut next = path;
        next.cost += group.cost;
        for (number, note) in group.notes.iter().enumerate() {
            let position = index + number;
            let piece = self.grid[position].piece;
            let heard = PathNote { pitch: note.pitch, piece };
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
            next.cost += self.pitch_costs.cost(position, note.pitch);
            if unintended::makes_ornament(self, next, heard, number, group) {
                return None;
            }
            next.before = next.last;
            next.last = Some(heard);
        }
        if let Some(last) = path.last {
            next.cost += self.sameness(path, last, group, previous);
        }
        Some(next)
    }

    fn sameness(&self, path: Path, last: PathNote, group: &Group, previous: Option<&Group>) -> f64 {
        let before = path.before.map(|before| before.pitch);
        let mut cost = cost::sameness(last.pitch, before, &group.notes);
        if let Some(previous) = previous.filter(|previous| previous.notes.len() > 1) {
            if group.turn.is_some() && group.turn == previous.turn {
                cost += cost::OUT_OF_TURN;
            }
            if previous.notes == group.notes && group.notes.len() > 2 {
                cost += cost::BAR_AGAIN;
            }
        }
        cost
    }

    /// Whether a group's first note may follow the last one of a path.
    fn may_follow(&self, path: Path, group: &Group, index: usize) -> bool {
        let (Some(last), Some((first, _))) = (path.last, group.ends()) else { return true };
        let Position { piece, rested, .. } = self.grid[index];
        let join = if rested { Join::Free } else { group.join };
        let (Some(from), Some(to)) = (&self.grounds[last.piece], &self.grounds[piece]) else {
            return true;
        };
        let between_tones = from.tone_set.contains(last.pitch) && to.tone_set.contains(first);
        let scale_step =
            join == Join::StepOrChordSkip && is_scale_step(to.scale_set, last.pitch, first);
        join.allows(interval(last.pitch, first), between_tones, scale_step)
    }

    fn technique(&self, index: usize) -> Technique {
        self.pieces[self.grid[index].piece].assignment.technique
    }
}

/// The best paths for each last note, one for each two last notes and number of leaps.
fn best(mut paths: Vec<Path>) -> Vec<Path> {
    paths.sort_by(|path, other| path.cost.total_cmp(&other.cost));
    let mut kept: BTreeMap<Option<u8>, Vec<Path>> = BTreeMap::new();
    for path in paths {
        let same_end = kept.entry(path.last.map(|last| last.pitch)).or_default();
        let known = |other: &Path| other.before == path.before && other.leaps == path.leaps;
        if same_end.len() < PATHS_A_NOTE && !same_end.iter().any(known) {
            same_end.push(path);
        }
    }
    kept.into_values().flatten().collect()
}

/// Writes down the steps of the paths that are kept.
fn keep(mut paths: Vec<Path>, steps: &mut Vec<Step>) -> Vec<Path> {
    for path in &mut paths {
        if let Some((position, group)) = path.taken.take() {
            steps.push(Step { parent: path.step, position, group });
            path.step = Some(steps.len() - 1);
        }
    }
    paths
}

/// Semitones from one pitch to another, upwards positive.
fn interval(from: u8, to: u8) -> i8 {
    // Both are at most 127.
    to.cast_signed() - from.cast_signed()
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

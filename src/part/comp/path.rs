//! The cheapest path through the candidates of all chords, exactly, by dynamic programming.

use super::candidate::Candidate;
use super::cost::{Cost, of_motion, of_placement};

/// One chord of the path.
#[derive(Debug, Clone)]
pub(super) struct Step {
    /// Its legal placements; never empty.
    pub(super) candidates: Vec<Candidate>,
    /// The chord is the one of the step before.
    pub(super) same_chord: bool,
}

/// The cheapest path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Path {
    /// For each step the index of its candidate.
    pub(super) choice: Vec<usize>,
    /// What it costs, the motion back to the start included where it goes round.
    pub(super) cost: Cost,
    /// How many pairs of candidates were compared: the measure of the work.
    pub(super) pairs: u64,
}

/// Costs of going from each candidate of one step to each of the next, the next one's own cost
/// included.
type Motions = Vec<Vec<Cost>>;

/// The cheapest path through all steps and back to the first.
pub(super) fn round(steps: &[Step], centre: u8) -> Path {
    if steps.is_empty() {
        return Path { choice: Vec::new(), cost: Cost::default(), pairs: 0 };
    }
    // The path goes round, so it may be cut anywhere: at the step with the fewest candidates the
    // search for each of them in turn is shortest.
    let cut = (0..steps.len()).min_by_key(|at| steps[*at].candidates.len()).unwrap_or(0);
    let steps: Vec<&Step> = steps[cut..].iter().chain(&steps[..cut]).collect();
    let motions: Vec<Motions> = (0..steps.len())
        .map(|at| motions(&steps[at].candidates, steps[(at + 1) % steps.len()], centre))
        .collect();
    let paths = (0..steps[0].candidates.len()).map(|first| path_round(&motions, first));
    let best = paths.min_by_key(|(cost, _)| *cost);
    let (cost, mut choice) = best.unwrap_or_default();
    choice.rotate_right(cut);
    Path { choice, cost, pairs: pairs(&motions) }
}

/// The cheapest path through all steps, coming from a placement or, with none, from nowhere.
pub(super) fn onward(from: Option<&Candidate>, steps: &[Step], centre: u8) -> Path {
    let Some(first) = steps.first() else { return round(steps, centre) };
    let entry = first.candidates.iter().map(|candidate| {
        let moved = from.map(|from| of_motion(from, candidate, first.same_chord));
        moved.unwrap_or_default() + of_placement(candidate, centre)
    });
    let entry: Vec<Cost> = entry.collect();
    let motions: Vec<Motions> =
        steps.windows(2).map(|pair| motions(&pair[0].candidates, &pair[1], centre)).collect();
    let (costs, came_from) = forward(&motions, entry);
    let last = cheapest(&costs);
    let cost = costs.get(last).copied().unwrap_or_default();
    let choice = trace(&came_from, last);
    Path { choice, cost, pairs: pairs(&motions) }
}

fn motions(from: &[Candidate], to: &Step, centre: u8) -> Motions {
    let own: Vec<Cost> =
        to.candidates.iter().map(|candidate| of_placement(candidate, centre)).collect();
    let row = |from: &Candidate| {
        let to = to.candidates.iter().map(|candidate| of_motion(from, candidate, to.same_chord));
        to.zip(&own).map(|(moved, own)| moved + *own).collect()
    };
    from.iter().map(row).collect()
}

fn pairs(motions: &[Motions]) -> u64 {
    motions.iter().flatten().map(|row| row.len() as u64).sum()
}

/// The cheapest path that begins and ends with one candidate of the first step.
fn path_round(motions: &[Motions], first: usize) -> (Cost, Vec<usize>) {
    let Some((start, rest)) = motions.split_first() else { return Default::default() };
    let entry = start.get(first).cloned().unwrap_or_default();
    let (costs, came_from) = forward(rest, entry);
    let mut choice = trace(&came_from, first);
    // The trace ends on the first step again: put it in front instead.
    choice.pop();
    choice.insert(0, first);
    (costs.get(first).copied().unwrap_or_default(), choice)
}

/// From the costs of reaching each candidate of a step to those of the last step, with, for each
/// motion, the candidate that each next one is best reached from. Of equals the first is taken.
fn forward(motions: &[Motions], entry: Vec<Cost>) -> (Vec<Cost>, Vec<Vec<usize>>) {
    let mut costs = entry;
    let mut came_from = Vec::with_capacity(motions.len());
    for rows in motions {
        let reached = rows.first().map_or(0, Vec::len);
        let best = (0..reached).map(|to| {
            let paths = costs.iter().zip(rows).map(|(cost, row)| *cost + row[to]);
            let best = paths.enumerate().min_by_key(|(_, cost)| *cost);
            best.unwrap_or_default()
        });
        let best: Vec<(usize, Cost)> = best.collect();
        came_from.push(best.iter().map(|(from, _)| *from).collect());
        costs = best.into_iter().map(|(_, cost)| cost).collect();
    }
    (costs, came_from)
}

/// Goes back from a candidate of the last step.
fn trace(came_from: &[Vec<usize>], last: usize) -> Vec<usize> {
    let mut choice = vec![last];
    let mut at = last;
    for from in came_from.iter().rev() {
        at = from.get(at).copied().unwrap_or_default();
        choice.push(at);
    }
    choice.reverse();
    choice
}

fn cheapest(costs: &[Cost]) -> usize {
    (0..costs.len()).min_by_key(|at| costs[*at]).unwrap_or(0)
}

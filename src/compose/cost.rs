//! How well a line goes: smoothness, variety and range.
//!
//! All costs are on one scale, where 1 is about what a listener minds. They are ours, set by
//! reading composed lines and by the shares of intervals in improvised solos
//! (`tests/facts/melodic_intervals.tsv`).

use std::ops::RangeInclusive;

use crate::melody::Technique;

use super::grid::Position;
use super::group::GroupNote;
use super::streams::Choice;

/// How much chance weighs on each note; more where groups leave fewer choices.
const CHANCE: f64 = 1.1;
const CHANCE_IN_GROUPS: f64 = 2.4;
const CHANCE_IN_ARPEGGIOS: f64 = 4.5;
/// What a note costs for each semitone that it is away from the line's contour.
const CONTOUR: f64 = 0.11;
/// Within how many semitones of the contour a line is free.
const FREE: f64 = 2.5;

/// What a note of a motif costs for each semitone that it is away from it, and at most; and how
/// much of chance is left there.
const MOTIF: f64 = 0.9;
const FORGOTTEN: f64 = 3.6;
const CHANCE_IN_MOTIFS: f64 = 0.25;

/// Back on the note before last.
const BACK_AND_FORTH: f64 = 1.1;
/// The same two or more notes again.
const SAME_AGAIN: f64 = 4.0;
/// The note that was just heard again at a group's end.
const CIRCLING: f64 = 1.2;
/// A change of direction.
const TURN: f64 = 0.45;
/// On in the direction of a leap.
const ON_AFTER_LEAP: f64 = 1.2;
/// The same kind of group as before, where kinds take turns.
pub(super) const OUT_OF_TURN: f64 = 3.0;
/// A bar heard once before, and one heard twice or more.
pub(super) const BAR_AGAIN: f64 = 5.0;
pub(super) const BAR_THRICE: f64 = 1000.0;

/// Intervals above this many semitones (a major third) are leaps.
pub(super) const LARGEST_SKIP: i8 = 4;

/// What the intervals from unison to octave cost.
type Intervals = [f64; 13];

const RUNNING: Intervals = [6.0, 0.0, 0.0, 0.8, 1.0, 1.6, 2.6, 2.2, 2.8, 3.0, 4.5, 5.0, 3.5];
const FEW_NOTES: Intervals = [4.0, 0.2, 0.0, 0.1, 0.7, 0.8, 2.5, 1.8, 2.6, 2.8, 4.0, 5.0, 3.0];
const ARPEGGIO: Intervals = [6.0, 0.4, 0.4, 0.2, 0.2, 0.35, 0.7, 0.8, 1.5, 1.5, 3.5, 4.0, 2.2];
const ORNAMENT: Intervals = [5.0, 0.25, 0.25, 0.3, 0.4, 0.5, 1.4, 0.8, 1.6, 1.6, 4.0, 4.5, 2.5];

fn intervals(technique: Technique) -> &'static Intervals {
    match technique {
        Technique::ScaleRuns
        | Technique::ChordScales
        | Technique::KeySevenths
        | Technique::TriadPairs
        | Technique::FourthStacks
        | Technique::ShiftedShapes
        | Technique::RootCells
        | Technique::NinthArpeggios => &RUNNING,
        Technique::Pentatonics | Technique::Blues => &FEW_NOTES,
        Technique::ChordOutlines => &ARPEGGIO,
        Technique::LowerNeighbours
        | Technique::UpperNeighbours
        | Technique::Enclosures
        | Technique::DoubleApproaches => &ORNAMENT,
    }
}

/// What it costs to go on by an interval.
pub(super) fn interval(technique: Technique, semitones: i8) -> f64 {
    let costs = intervals(technique);
    costs.get(usize::from(semitones.unsigned_abs())).copied().unwrap_or(costs[12])
}

/// What it costs to go on by an interval after another one; upwards is positive.
pub(super) fn motion(technique: Technique, before: i8, interval: i8) -> f64 {
    let turns = before.signum() * interval.signum() < 0;
    let goes_on = before.signum() * interval.signum() > 0;
    let mut cost = 0.0;
    if turns {
        cost += TURN;
    }
    if before + interval == 0 && interval != 0 {
        cost += BACK_AND_FORTH;
    }
    if goes_on && before.abs() > LARGEST_SKIP && !technique.is_arpeggio_or_stack() {
        cost += ON_AFTER_LEAP;
    }
    cost
}

/// What it costs that a group of notes says what was just said.
pub(super) fn sameness(last: u8, before: Option<u8>, notes: &[GroupNote]) -> f64 {
    match notes {
        [first, second, ..] if Some(first.pitch) == before && second.pitch == last => SAME_AGAIN,
        [_, .., end] if end.pitch == last => CIRCLING,
        _ => 0.0,
    }
}

/// What it costs to leave a motif: more the farther, but no more than another idea is worth.
fn away_from_motif(pitch: u8, wanted: u8) -> f64 {
    (f64::from(pitch.abs_diff(wanted)) * MOTIF).min(FORGOTTEN)
}

/// What each pitch costs on each position: chance, and how far it is from the contour, which has a
/// pitch for each position.
pub(super) struct PitchCosts {
    low: u8,
    width: usize,
    costs: Vec<f64>,
}

impl PitchCosts {
    pub(super) fn new(
        grid: &[Position],
        contour: &[f64],
        wanted: &[Option<u8>],
        techniques: &str,
        seed: u64,
        range: &RangeInclusive<u8>,
        technique_of: impl Fn(&Position) -> Technique,
    ) -> PitchCosts {
        let (low, high) = (*range.start(), *range.end());
        let width = usize::from(high - low) + 1;
        let mut contour = contour.iter();
        let mut wanted = wanted.iter();
        let mut costs = Vec::with_capacity(grid.len() * width);
        for bar in grid.chunk_by(|position, next| position.bar == next.bar) {
            let Some(first) = bar.first() else { continue };
            let mut stream = Choice::Pitches { techniques, bar: first.bar }.stream(seed);
            for position in bar {
                let middle = contour.next().copied().unwrap_or_default();
                let wanted = wanted.next().copied().flatten();
                let chance = match technique_of(position) {
                    Technique::KeySevenths => CHANCE_IN_GROUPS,
                    Technique::NinthArpeggios => CHANCE_IN_ARPEGGIOS,
                    _ => CHANCE,
                };
                for pitch in low..=high {
                    let away = (f64::from(pitch) - middle).abs() - FREE;
                    let by_chance = stream.unit() * chance;
                    costs.push(match wanted {
                        Some(wanted) => {
                            away_from_motif(pitch, wanted) + by_chance * CHANCE_IN_MOTIFS
                        }
                        None => by_chance + away.max(0.0) * CONTOUR,
                    });
                }
            }
        }
        PitchCosts { low, width, costs }
    }

    /// What a pitch costs on a position.
    pub(super) fn cost(&self, position: usize, pitch: u8) -> f64 {
        let offset = usize::from(pitch.saturating_sub(self.low));
        self.costs.get(position * self.width + offset).copied().unwrap_or(0.0)
    }
}

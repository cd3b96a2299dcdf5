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

/// What each pitch costs on each position: chance, and how far it is from the contour.
pub(super) struct PitchCosts {
    low: u8,
    width: usize,
    costs: Vec<f64>,
}

impl PitchCosts {
    pub(super) fn new(
        grid: &[Position],
        techniques: &str,
        seed: u64,
        range: &RangeInclusive<u8>,
        technique_of: impl Fn(&Position) -> Technique,
    ) -> PitchCosts {
        let (low, high) = (*range.start(), *range.end());
        let width = usize::from(high - low) + 1;
        let contour = Contour::new(techniques, seed, range);
        let mut costs = Vec::with_capacity(grid.len() * width);
        for bar in grid.chunk_by(|position, next| position.bar == next.bar) {
            let Some(first) = bar.first() else { continue };
            let mut stream = Choice::Pitches { techniques, bar: first.bar }.stream(seed);
            let mut position_in_bar = 0.0;
            for position in bar {
                let middle = contour.at(position.bar, position_in_bar);
                position_in_bar += 1.0;
                let chance = match technique_of(position) {
                    Technique::RootCells | Technique::KeySevenths => CHANCE_IN_GROUPS,
                    Technique::NinthArpeggios => CHANCE_IN_ARPEGGIOS,
                    _ => CHANCE,
                };
                for pitch in low..=high {
                    let away = (f64::from(pitch) - middle).abs() - FREE;
                    costs.push(stream.unit() * chance + away.max(0.0) * CONTOUR);
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

/// The arch that a line follows loosely: up and down between two pitches, in so many bars.
struct Contour {
    low: f64,
    high: f64,
    /// Eighth notes from top to top.
    period: f64,
    /// Where in the period the line begins, 0 to 1.
    phase: f64,
}

impl Contour {
    fn new(techniques: &str, seed: u64, range: &RangeInclusive<u8>) -> Contour {
        let mut stream = Choice::Contour { techniques }.stream(seed);
        let (low, high) = (f64::from(*range.start()), f64::from(*range.end()));
        // The outer notes of the range are for peaks.
        let inset = (high - low) / 7.0;
        let bars = [1.5, 2.0, 2.5, 3.0, 4.0][stream.below(5)];
        Contour {
            low: low + inset * (0.6 + stream.unit()),
            high: high - inset * (0.6 + stream.unit()),
            period: bars * 8.0,
            phase: stream.unit(),
        }
    }

    /// The pitch in the middle of the arch, so many eighth notes into a bar.
    fn at(&self, bar: i64, eighths: f64) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a form has few bars")]
        let at = (bar as f64 * 8.0 + eighths) / self.period + self.phase;
        let within = at - at.floor();
        let height = if within < 0.5 { within * 2.0 } else { 2.0 - within * 2.0 };
        self.low + (self.high - self.low) * height
    }
}

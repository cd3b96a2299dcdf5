//! What the players of a take agree on before anybody plays.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::PartNotes;
use crate::arrange::{BarKind, Timeline};
use crate::units::{Ticks, Velocity};

/// Parts of fewer bars do not end in a fill.
const SHORTEST_PART: usize = 4;
/// The bars before a chorus in which the band is on its way to it.
const WAY: usize = 2;
/// The energy of a level track, in per cent.
const LEVEL: i32 = 50;
/// How much a chorus may gain on the one before, and the last of a track on its first, in per cent:
/// with [`Energy::velocity_percent`] some 3 dB at most over a track (our choice).
const STEP: i32 = 22;
const SPAN: i32 = 45;
/// From how many notes a quarter a line is busy, and up to how many it rests (our choice): six notes
/// a bar of 4/4, and one.
const BUSY: f64 = 1.5;
const RESTS: f64 = 0.3;

/// How a band's energy goes over the choruses of a track.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum EnergyArc {
    /// All choruses alike.
    #[serde(rename = "level")]
    Level,
    /// Every chorus fuller and louder than the one before.
    #[serde(rename = "build")]
    Build,
    /// The same up to two thirds of the way, then back to where it came from.
    #[serde(rename = "build and come back")]
    BuildAndComeBack,
}

/// How much goes on, in per cent; 50 is as the styles are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Energy(u8);

/// Where the form turns after a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Joint {
    /// The whole band plays hits in the next bar.
    Hits,
    /// The next bar begins a section.
    Section,
    /// The next bar begins a chorus, an interlude, or the ending.
    Chorus,
}

/// What the line does in a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineActivity {
    /// There is none.
    Absent,
    /// It plays many notes.
    Busy,
    /// It plays some.
    Plays,
    /// It rests, or holds a note.
    Rests,
}

/// What the players know of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BandBar {
    /// How much goes on.
    pub energy: Energy,
    /// The joint that the bar leads to.
    pub leads_to: Option<Joint>,
    /// What the line does.
    pub line: LineActivity,
}

/// What the players of a take agree on: for every bar of its timeline how much goes on, where the
/// form turns and what the line does. All players read it, and none reads another one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BandPlan {
    bars: Vec<BandBar>,
}

impl BandPlan {
    /// The plan of a timeline with the lines over it, if there are any.
    #[must_use]
    pub fn of(timeline: &Timeline, arc: EnergyArc, lines: &[PartNotes]) -> BandPlan {
        let energies = energies(timeline, arc);
        let joints = joints(timeline);
        let bar = |(index, (energy, leads_to))| BandBar {
            energy,
            leads_to,
            line: activity(timeline, index, lines),
        };
        BandPlan { bars: energies.into_iter().zip(joints).enumerate().map(bar).collect() }
    }

    /// The plan of a level track without a line.
    #[must_use]
    pub fn level(timeline: &Timeline) -> BandPlan {
        BandPlan::of(timeline, EnergyArc::Level, &[])
    }

    /// What is planned for a bar of the timeline; for one that it has not, what a level track has.
    #[must_use]
    pub fn bar(&self, index: usize) -> BandBar {
        let level = BandBar { energy: Energy(50), leads_to: None, line: LineActivity::Absent };
        self.bars.get(index).copied().unwrap_or(level)
    }

    /// What is planned, bar by bar.
    #[must_use]
    pub fn bars(&self) -> &[BandBar] {
        &self.bars
    }
}

impl Energy {
    /// In per cent.
    #[must_use]
    pub const fn percent(self) -> u8 {
        self.0
    }

    /// What velocities are, in per cent of what the styles say: 80 to 120.
    #[must_use]
    pub const fn velocity_percent(self) -> i32 {
        100 + (self.0 as i32 - LEVEL) * 2 / 5
    }

    /// A velocity of a style, as it is played.
    #[must_use]
    pub fn velocity(self, of_style: Velocity) -> Velocity {
        Velocity::clamped(i32::from(of_style.get()) * self.velocity_percent() / 100)
    }

    /// How likely something is that a style gives a probability: up to twice, down to never.
    #[must_use]
    pub fn probability(self, of_style: f64) -> f64 {
        if of_style >= 1.0 { of_style } else { (of_style * f64::from(self.0) / 50.0).min(1.0) }
    }
}

impl fmt::Display for BandBar {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "energy {} %", self.energy.0)?;
        match self.leads_to {
            Some(Joint::Hits) => f.write_str(", fill into hits")?,
            Some(Joint::Section) => f.write_str(", fill into the next section")?,
            Some(Joint::Chorus) => f.write_str(", fill into what comes after the chorus")?,
            None => {}
        }
        match self.line {
            LineActivity::Busy => f.write_str(", the line is busy: room for it"),
            LineActivity::Rests => f.write_str(", the line rests: an answer"),
            LineActivity::Absent | LineActivity::Plays => Ok(()),
        }
    }
}

/// The energy of every bar: each chorus has its own, and the bars before a chorus go towards it.
fn energies(timeline: &Timeline, arc: EnergyArc) -> Vec<Energy> {
    let choruses = timeline.bars.last().map_or(1, |bar| bar.chorus + 1);
    let of_chorus = |chorus: u32| of_chorus(arc, chorus.min(choruses - 1), choruses);
    let bars = &timeline.bars;
    let energy = |index: usize| {
        let here = of_chorus(bars[index].chorus);
        let way = (1..=WAY).find_map(|ahead| {
            let bar = bars.get(index + ahead)?;
            let ahead = i32::try_from(ahead).ok()?;
            let left = i32::try_from(WAY).ok()? + 1;
            let changes = bar.chorus != bars[index].chorus;
            changes.then(|| (of_chorus(bar.chorus) - here) * (left - ahead) / left)
        });
        Energy(u8::try_from((here + way.unwrap_or(0)).clamp(0, 100)).unwrap_or(50))
    };
    (0..bars.len()).map(energy).collect()
}

/// The energy of a chorus, in per cent.
fn of_chorus(arc: EnergyArc, chorus: u32, choruses: u32) -> i32 {
    let count = |choruses: u32| i32::try_from(choruses).unwrap_or(i32::MAX);
    // The choruses after the first, of those on the way up and of those on the way back.
    let up = match arc {
        EnergyArc::Level => return LEVEL,
        EnergyArc::Build => count(choruses - 1),
        EnergyArc::BuildAndComeBack => {
            count(((choruses - 1).saturating_mul(2) / 3).max(1).min(choruses - 1))
        }
    };
    let back = count(choruses - 1) - up;
    let span = up.saturating_mul(STEP).min(SPAN);
    let (from, chorus) = (LEVEL - span / 2, count(chorus));
    let share = |of: i32, whole: i32| {
        i32::try_from(i64::from(span) * i64::from(of) / i64::from(whole.max(1))).unwrap_or(0)
    };
    if chorus <= up { from + share(chorus, up) } else { from + span - share(chorus - up, back) }
}

/// Where the form turns: after bars that lead to hits, and at the ends of parts of the form that are
/// long enough.
fn joints(timeline: &Timeline) -> Vec<Option<Joint>> {
    let bars = &timeline.bars;
    let mut part = 0;
    let joint = |index: usize| {
        let bar = &bars[index];
        if !bar.kind.is_played() || bar.kind == BarKind::Ending {
            return None;
        }
        part += 1;
        let next = bars.get(index + 1);
        let turns = next.is_none_or(|next| {
            (next.chorus, next.kind.passage()) != (bar.chorus, bar.kind.passage())
        });
        let begins = next.is_some_and(|next| next.section.is_some());
        let is_long = part >= SHORTEST_PART;
        if turns || begins {
            part = 0;
        }
        let hits = next.is_some_and(|next| next.hits.is_some()) && bar.hits.is_none();
        match (turns, begins, hits) {
            (true, ..) if is_long => Some(Joint::Chorus),
            (_, true, _) if is_long => Some(Joint::Section),
            (_, _, true) => Some(Joint::Hits),
            _ => None,
        }
    };
    (0..bars.len()).map(joint).collect()
}

/// What the lines do in a bar.
fn activity(timeline: &Timeline, index: usize, lines: &[PartNotes]) -> LineActivity {
    let Some(bar) = timeline.bars.get(index).filter(|_| !lines.is_empty()) else {
        return LineActivity::Absent;
    };
    let before = |end: Ticks| -> usize {
        lines.iter().map(|line| line.notes.partition_point(|note| note.at < end)).sum()
    };
    // A bar has no more notes than there are quarters in centuries.
    let notes = f64::from(u32::try_from(before(bar.end()) - before(bar.start)).unwrap_or(u32::MAX));
    match notes / bar.meter.bar().quarters() {
        busy if busy >= BUSY => LineActivity::Busy,
        rests if rests <= RESTS => LineActivity::Rests,
        _ => LineActivity::Plays,
    }
}

#[cfg(test)]
mod tests;

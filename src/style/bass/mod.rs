//! What a bass style says: targets, and how to get from one to the next.

mod file;

#[cfg(test)]
mod tests;

use super::Level;
use super::meter_fit::{MeterFit, best_meter};
use crate::units::{Meter, Ticks, Velocity};

/// A bass style, checked: every time lies inside its bar, every register holds an octave, and
/// there is at least one rhythm.
#[derive(Debug, Clone, PartialEq)]
pub struct BassStyle {
    /// What it sounds like and what it is good for.
    pub description: String,
    /// Whom it suits.
    pub level: Level,
    /// The General MIDI program, counted from 0.
    pub program: u8,
    /// Played in even eighths whatever the chart's feel.
    pub straight: bool,
    /// Which notes the instrument plays.
    pub register: BassRegister,
    /// How hard, for the roots of chords that begin where a rhythm has no note.
    pub velocity: Velocity,
    /// How long notes sound, in per cent of the way to the next one.
    pub legato_percent: u8,
    /// How likely a chord that could as well begin on its third or fifth begins on its root, 0 to 1.
    pub roots: f64,
    /// Bars of rhythm.
    pub rhythms: Vec<BassRhythm>,
}

/// Which notes a bass plays, as MIDI note numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BassRegister {
    /// The lowest note.
    pub lowest: u8,
    /// The highest note, at least an octave above the lowest.
    pub highest: u8,
    /// Where the lines are at home.
    pub centre: u8,
}

/// One bar of rhythm.
#[derive(Debug, Clone, PartialEq)]
pub struct BassRhythm {
    /// The meter that it is written in.
    pub meter: Meter,
    /// How often it is drawn against the other rhythms of its meter.
    pub weight: f64,
    /// What is played, in order of time.
    pub hits: Vec<BassHit>,
}

/// One hit of a rhythm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BassHit {
    /// From the start of the bar.
    pub at: Ticks,
    /// What to play.
    pub role: BassRole,
    /// How long, where it is not the style's share of the way to the next one.
    pub length: Option<Ticks>,
    /// How hard.
    pub velocity: Velocity,
    /// How likely it is played at all, 0 to 1.
    pub probability: f64,
}

/// What a hit plays. The first moment of a new chord plays its root, or where the style leaves it
/// open its third or fifth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BassRole {
    /// The root, or the bass note that is written after a slash.
    Root,
    /// The chord's own fifth: E flat for Am7b5.
    Fifth,
    /// The chord's third; under a suspension its fourth.
    Third,
    /// Any chord tone.
    Chord,
    /// Any way on: a chord tone, a scale step or a half step in passing; before a change of
    /// chord as `approach`.
    Walk,
    /// Into the next note by half step, scale step or from its fifth, above or below.
    Approach,
    /// A soft, muted repeat of the note before.
    Ghost,
}

impl BassStyle {
    /// The rhythms for a meter: the style's own, or those of the meter that serves best, cut and
    /// joined as `styles/README.md` says.
    #[must_use]
    pub(crate) fn rhythms_in(&self, meter: Meter) -> Vec<BassRhythm> {
        let written: Vec<Meter> = self.rhythms.iter().map(|rhythm| rhythm.meter).collect();
        let best = best_meter(&written, meter);
        let rhythms = self.rhythms.iter().filter(|rhythm| Some(rhythm.meter) == best);
        rhythms.map(|rhythm| rhythm.fitted(meter)).collect()
    }
}

impl BassRhythm {
    fn fitted(&self, meter: Meter) -> BassRhythm {
        let fit = MeterFit::new(self.meter, meter);
        let mut hits: Vec<BassHit> = Vec::new();
        for hit in &self.hits {
            let length = hit.length.map(|length| fit.length(length));
            let places = fit.places(hit.at).into_iter();
            hits.extend(places.map(|at| BassHit { at, length, ..*hit }));
        }
        hits.sort_by_key(|hit| hit.at);
        BassRhythm { meter, weight: self.weight, hits }
    }
}

//! What a drum style says: hits by percussion name, in bars that take turns.

mod file;
mod percussion;

#[cfg(test)]
mod tests;

pub use percussion::{Kit, Percussion};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Level;
use super::meter_fit::{MeterFit, best_meter};
use crate::units::{Meter, Ticks};

/// A drum style, checked: every time lies inside its bar, and there is at least one bar that is
/// neither fill nor ending.
#[derive(Debug, Clone, PartialEq)]
pub struct DrumStyle {
    /// What it sounds like and what it is good for.
    pub description: String,
    /// Whom it suits.
    pub level: Level,
    /// The drum kit.
    pub kit: Kit,
    /// Played in even eighths whatever the chart's feel.
    pub straight: bool,
    /// A fill ends every so many bars of the form, and the form itself; 0 for none.
    pub fill_every: u8,
    /// How many bars a pattern is long: bars with a `turn` come at that turn only.
    pub cycle: u8,
    /// What each intensity does to the velocities.
    pub levels: IntensityLevels,
    /// Bars of rhythm.
    pub bars: Vec<DrumBar>,
}

/// How much the drummer plays.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Intensity {
    /// What defines the style and little else, softly.
    Light,
    /// As one would play behind a soloist.
    #[default]
    Medium,
    /// Many more strokes, and louder.
    Full,
}

/// Velocities of each intensity, in per cent of what the hits say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IntensityLevels {
    /// At [`Intensity::Light`].
    pub light: u8,
    /// At [`Intensity::Medium`].
    pub medium: u8,
    /// At [`Intensity::Full`].
    pub full: u8,
}

/// What a bar of rhythm is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DrumBarUse {
    /// Keeping time.
    #[default]
    Time,
    /// Snare and kick against the time: added to a bar that keeps it.
    Comping,
    /// Leading into the next part of the form.
    Fill,
    /// What lands on the first beat after a fill: added to the bar there.
    Landing,
    /// The last bar, after the last chorus.
    Ending,
}

/// A place at which the form turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DrumJoint {
    /// A new section or phrase, or hits of the whole band.
    Section,
    /// A new chorus, or the ending.
    Chorus,
}

/// One bar of rhythm.
#[derive(Debug, Clone, PartialEq)]
pub struct DrumBar {
    /// The meter that it is written in.
    pub meter: Meter,
    /// How often it is drawn against the others that could stand in its place.
    pub weight: f64,
    /// What it is for.
    pub purpose: DrumBarUse,
    /// Which turn of the form a fill leads to, or something lands after; any where it says nothing.
    pub joint: Option<DrumJoint>,
    /// At which turn of the cycle it comes, counted from 1; at any where it says nothing.
    pub turn: Option<u8>,
    /// The lightest intensity that draws it.
    pub from: Intensity,
    /// The fullest intensity that draws it.
    pub up_to: Intensity,
    /// What is struck, in order of time.
    pub hits: Vec<DrumHit>,
}

/// One stroke.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrumHit {
    /// From the start of the bar.
    pub at: Ticks,
    /// What is struck.
    pub percussion: Percussion,
    /// How hard at medium intensity, 1 to 127.
    pub velocity: u8,
    /// How likely, 0 to 1.
    pub probability: f64,
    /// How long a sustained sound goes on; others ring as they will.
    pub length: Option<Ticks>,
    /// The lightest intensity that plays it.
    pub from: Intensity,
    /// The fullest intensity that plays it.
    pub up_to: Intensity,
}

impl IntensityLevels {
    /// The share of the written velocities, in per cent.
    #[must_use]
    pub const fn percent(self, intensity: Intensity) -> u8 {
        match intensity {
            Intensity::Light => self.light,
            Intensity::Medium => self.medium,
            Intensity::Full => self.full,
        }
    }
}

impl DrumStyle {
    /// The bars of one use for a meter: the style's own, or those of the meter that serves best,
    /// cut and joined as `styles/README.md` says. Empty where the style has none of this use.
    #[must_use]
    pub(crate) fn bars_in(&self, meter: Meter, purpose: DrumBarUse) -> Vec<DrumBar> {
        let bars = || self.bars.iter().filter(|bar| bar.purpose == purpose);
        let written: Vec<Meter> = bars().map(|bar| bar.meter).collect();
        let best = best_meter(&written, meter);
        bars().filter(|bar| Some(bar.meter) == best).map(|bar| bar.fitted(meter)).collect()
    }
}

impl DrumBar {
    fn fitted(&self, meter: Meter) -> DrumBar {
        let fit = MeterFit::new(self.meter, meter);
        let mut hits: Vec<DrumHit> = Vec::new();
        for hit in &self.hits {
            let length = hit.length.map(|length| fit.length(length));
            // An ending is not begun again where the bar is longer.
            let repeats = if self.purpose == DrumBarUse::Ending { 1 } else { usize::MAX };
            let places = fit.places(hit.at).into_iter().take(repeats);
            hits.extend(places.map(|at| DrumHit { at, length, ..*hit }));
        }
        hits.sort_by_key(|hit| (hit.at, hit.percussion.key()));
        DrumBar { meter, hits, ..self.clone() }
    }
}

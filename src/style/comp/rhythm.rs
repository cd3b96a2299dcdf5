//! Bars of rhythm, and rhythms for single chords.

use super::CompStyle;
use crate::style::meter_fit::{MeterFit, best_meter};
use crate::units::{Meter, Ticks, Velocity};

/// A rhythm of one bar, or of two in a row.
#[derive(Debug, Clone, PartialEq)]
pub struct BarRhythm {
    /// The meter that it is written in.
    pub meter: Meter,
    /// How often it is drawn against the other rhythms of its meter.
    pub weight: f64,
    /// The hits of the bar, in order of time.
    pub hits: Vec<Hit>,
    /// The hits of the bar after it, where the rhythm has two.
    pub next: Option<Vec<Hit>>,
}

/// A rhythm for one chord of a bar that has several. Its counts are quarters, in 6/8 dotted ones.
#[derive(Debug, Clone, PartialEq)]
pub struct ChordRhythm {
    /// How many counts it fills; a shorter chord cuts it.
    pub counts: u8,
    /// How often it is drawn against the others of its length.
    pub weight: f64,
    /// The hits, in order of time, counted from the chord's first moment.
    pub hits: Vec<Hit>,
}

/// A moment at which a hand plays.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// From the start of the bar (or chord).
    pub at: Ticks,
    /// It takes the coming chord where that begins on the next count.
    pub early: bool,
    /// How long; `None`: until the hand moves on, or the chord ends.
    pub length: Option<Ticks>,
    /// How hard.
    pub velocity: Velocity,
    /// How likely it is played at all, 0 to 1.
    pub probability: f64,
    /// Soft and muted.
    pub ghost: bool,
    /// Which notes sound.
    pub play: Play,
}

impl Hit {
    /// All notes on the first count, moderately loud, held.
    #[must_use]
    pub const fn plain() -> Hit {
        Hit {
            at: Ticks::ZERO,
            early: false,
            length: None,
            velocity: Velocity::clamped(64),
            probability: 1.0,
            ghost: false,
            play: Play::All,
        }
    }
}

impl CompStyle {
    /// Whether some hit takes the coming chord early.
    pub(crate) fn takes_chords_early(&self) -> bool {
        let bars =
            self.bars.iter().flat_map(|bar| bar.hits.iter().chain(bar.next.iter().flatten()));
        bars.chain(self.chords.iter().flat_map(|chord| &chord.hits)).any(|hit| hit.early)
    }
}

/// Which notes of a shape a hit plays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Play {
    /// All of them.
    All,
    /// These degrees of the shape, by number.
    Degrees(Vec<u8>),
}

impl Play {
    /// Is this degree of the shape among them?
    #[must_use]
    pub(crate) fn includes(&self, degree: u8) -> bool {
        match self {
            Play::All => true,
            Play::Degrees(degrees) => degrees.contains(&degree),
        }
    }
}

impl BarRhythm {
    fn fitted(&self, meter: Meter) -> BarRhythm {
        let hits = fitted(&self.hits, self.meter, meter);
        let next = self.next.as_ref().map(|next| fitted(next, self.meter, meter));
        BarRhythm { meter, weight: self.weight, hits, next }
    }
}

impl CompStyle {
    /// The rhythms for a bar of a meter: the style's own, or those of the meter that serves best,
    /// cut and joined as `styles/README.md` says. Never empty.
    #[must_use]
    pub(crate) fn bars_in(&self, meter: Meter) -> Vec<BarRhythm> {
        let written: Vec<Meter> = self.bars.iter().map(|bar| bar.meter).collect();
        let best = best_meter(&written, meter);
        let bars = self.bars.iter().filter(|bar| Some(bar.meter) == best);
        bars.map(|bar| bar.fitted(meter)).collect()
    }

    /// The rhythms for one of several chords of a bar: the shortest that fill its length, or the
    /// longest that there are. Empty where the style lets the bar's rhythm run on.
    #[must_use]
    pub(crate) fn chords_in(&self, meter: Meter, length: Ticks) -> Vec<ChordRhythm> {
        let count = if meter == Meter::SixEight { meter.beat() } else { meter.count() };
        let fills = |rhythm: &&ChordRhythm| count * i64::from(rhythm.counts) >= length;
        let best = self.chords.iter().find(fills).or(self.chords.last()).map(|best| best.counts);
        let rhythms = self.chords.iter().filter(|rhythm| Some(rhythm.counts) == best);
        let stretched = |rhythm: &ChordRhythm| match meter {
            Meter::SixEight => {
                let hits = fitted(&rhythm.hits, Meter::FourFour, Meter::SixEight);
                ChordRhythm { hits, ..rhythm.clone() }
            }
            _ => rhythm.clone(),
        };
        rhythms.map(stretched).collect()
    }
}

/// The hits of a rhythm in another meter than the one that it is written in.
fn fitted(hits: &[Hit], written: Meter, played: Meter) -> Vec<Hit> {
    let fit = MeterFit::new(written, played);
    let mut moved: Vec<Hit> = Vec::new();
    for hit in hits {
        let length = hit.length.map(|length| fit.length(length));
        moved.extend(fit.places(hit.at).into_iter().map(|at| Hit { at, length, ..hit.clone() }));
    }
    moved.sort_by_key(|hit| hit.at);
    moved
}

//! Where notated times fall in a performance.

use std::collections::BTreeSet;

use super::player::Player;
use super::swing;
use crate::arrange::Timeline;
use crate::chart::FeelName;
use crate::part::{Note, PartNotes};
use crate::performance::Part;
use crate::units::{Meter, Tempo, Ticks};

/// [`Ticks::QUARTER`] for reckoning in parts of a tick.
const TICKS_IN_QUARTER: f64 = 960.0;

/// What all players of a performance share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ensemble {
    /// Whether a part's style asks for even eighths.
    straight: bool,
    /// Whether drums or bass play.
    rhythm_section: bool,
}

impl Ensemble {
    /// One style in even eighths makes the band play them, unless the chart gives a ratio.
    pub(super) fn of(parts: &[PartNotes]) -> Ensemble {
        let mut playing = parts.iter().filter(|part| !part.notes.is_empty());
        let straight = parts.iter().any(|part| part.straight && !part.notes.is_empty());
        Ensemble {
            straight,
            rhythm_section: playing.any(|part| Player::of(part.part) == Player::RhythmSection),
        }
    }
}

/// Notated times as one player places them.
///
/// Only quarters in which a note begins on the straight off-beat are swung. Such a quarter is
/// stretched before its off-beat and squeezed after it, so that notes keep their order. In the
/// others triplets stay triplets, and a dotted eighth with its sixteenth stays three to one.
pub(super) struct Grid<'a> {
    timeline: &'a Timeline,
    player: Player,
    ensemble: Ensemble,
    /// The quarters, counted from the start of the timeline, that are swung.
    swung: BTreeSet<i64>,
}

impl<'a> Grid<'a> {
    pub(super) fn of(
        timeline: &'a Timeline,
        part: Part,
        notes: &[Note],
        ensemble: Ensemble,
    ) -> Grid<'a> {
        let off_beats = notes.iter().map(|note| quarter_of(note.at));
        let swung = off_beats.filter(|(_, within)| *within == Ticks::EIGHTH);
        let swung = swung.map(|(quarter, _)| quarter).collect();
        Grid { timeline, player: Player::of(part), ensemble, swung }
    }

    /// Where a notated time falls.
    pub(super) fn performed(&self, notated: Ticks) -> Ticks {
        let (quarter, within) = quarter_of(notated);
        if !self.swings(notated) {
            return notated;
        }
        let beat = self.beat(quarter);
        let next_beat = self.beat(quarter + 1);
        if !self.swung.contains(&quarter) {
            return interpolate(within, (Ticks::ZERO, beat), (Ticks::QUARTER, next_beat));
        }
        let off_beat = self.off_beat(quarter);
        if within <= Ticks::EIGHTH {
            interpolate(within, (Ticks::ZERO, beat), (Ticks::EIGHTH, off_beat))
        } else {
            interpolate(within, (Ticks::EIGHTH, off_beat), (Ticks::QUARTER, next_beat))
        }
    }

    /// The feel of a bar, or straight where a part's style asks for it.
    fn feel(&self, notated: Ticks) -> FeelName {
        match self.timeline.bar(notated).map_or(self.timeline.feel, |bar| bar.feel) {
            FeelName::Swing if self.ensemble.straight => FeelName::Straight,
            feel => feel,
        }
    }

    /// Whether eighths are uneven at all here. In 6/8 they are the beat's own parts.
    fn swings(&self, notated: Ticks) -> bool {
        let meter = self.timeline.bar(notated).map(|bar| bar.meter);
        self.player != Player::Machine
            && self.feel(notated) != FeelName::Straight
            && meter != Some(Meter::SixEight)
    }

    /// Where the beat of a quarter falls.
    fn beat(&self, quarter: i64) -> Ticks {
        let notated = Ticks::QUARTER * quarter;
        let late = self.player == Player::Soloist
            && self.ensemble.rhythm_section
            && self.feel(notated) == FeelName::Swing;
        if !late {
            return notated;
        }
        let tempo = self.timeline.tempo.at(notated);
        notated + ticks_of_ms(swing::soloist_delay_ms(tempo.quarters_per_minute()), tempo)
    }

    /// Where the off-beat of a quarter falls: with a rhythm section everybody's with the ride's.
    fn off_beat(&self, quarter: i64) -> Ticks {
        let notated = Ticks::QUARTER * quarter;
        let tempo = self.timeline.tempo.at(notated).quarters_per_minute();
        let ratio = match self.feel(notated) {
            FeelName::Straight => 1.0,
            FeelName::Ratio(ratio) => ratio,
            FeelName::Swing if self.player == Player::Soloist && !self.ensemble.rhythm_section => {
                swing::soloist_ratio(tempo)
            }
            FeelName::Swing => swing::rhythm_section_ratio(tempo),
        };
        notated + rounded(TICKS_IN_QUARTER * ratio / (1.0 + ratio))
    }
}

/// The quarter, counted from the start, that a time lies in, and the time from its beginning.
fn quarter_of(at: Ticks) -> (i64, Ticks) {
    (at.0.div_euclid(Ticks::QUARTER.0), Ticks(at.0.rem_euclid(Ticks::QUARTER.0)))
}

/// Milliseconds as ticks at a tempo, rounded.
pub(super) fn ticks_of_ms(ms: f64, tempo: Tempo) -> Ticks {
    let quarters = ms * 1000.0 / f64::from(tempo.0);
    rounded(quarters * TICKS_IN_QUARTER)
}

/// The time between two pairs of notated and performed times.
fn interpolate(notated: Ticks, from: (Ticks, Ticks), to: (Ticks, Ticks)) -> Ticks {
    let share = (notated - from.0).quarters() / (to.0 - from.0).quarters();
    from.1 + rounded((to.1 - from.1).quarters() * TICKS_IN_QUARTER * share)
}

/// The nearest whole tick.
#[expect(clippy::cast_possible_truncation, reason = "spans of a few quarters only")]
fn rounded(ticks: f64) -> Ticks {
    Ticks(ticks.round() as i64)
}

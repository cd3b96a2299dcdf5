//! Which gain every mix gets, and what to do when a mix turns out otherwise than surveyed.

use super::console::Outcome;
use super::groups::BusKind;
use super::level::{CEILING, MOST_REDUCTION, Programme, Pulse, programme_gain, pulse_gain};
use super::meter::Loudness;
use super::spec::{LevelRule, MixSettings, MixSpec};
use super::survey::{Measured, Survey};
use crate::units::Decibels;

/// The gains of one mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gains {
    pub(super) players: Decibels,
    pub(super) click: Decibels,
    pub(super) count_in: Decibels,
}

impl Gains {
    pub(super) fn of(&self, kind: BusKind) -> Decibels {
        match kind {
            BusKind::Programme => self.players,
            BusKind::Click => self.click,
            BusKind::CountIn => self.count_in,
        }
    }
}

/// How far a programme may be from its target, in LU.
const TOLERANCE: f64 = 0.2;
/// Loudness that the limiter took away is given back once it is more than this, in LU.
const WORTH_CORRECTING: f64 = 0.1;
/// Rounding of one pass against another, in dB: less than this is not too much limiting.
const ROUNDING: Decibels = Decibels(0.05);
/// How far under its mix's programme the click's loudest 400 ms may lie, in LU.
const CLICK_UNDER: std::ops::RangeInclusive<f64> = 6.0..=12.0;

/// The levels of a take, as its survey tells them.
pub(super) struct Levels<'a> {
    pub(super) survey: &'a Survey,
    pub(super) mixes: &'a [MixSpec],
    pub(super) settings: &'a MixSettings,
}

impl Levels<'_> {
    /// The gains that the survey calls for.
    pub(super) fn first(&self) -> Vec<Gains> {
        (0..self.mixes.len())
            .map(|mix| {
                let programme =
                    self.reference(mix).map_or(Programme::SILENCE, |measured| measured.programme);
                let by_loudness = || programme_gain(programme, self.settings.target);
                let players = self.settings.gain.unwrap_or_else(by_loudness);
                self.gains(players, Loudness(programme.loudness.0 + players.0))
            })
            .collect()
    }

    /// The gains that the outcomes call for; those of a mix that is as it should be stay.
    pub(super) fn corrected(&self, gains: &[Gains], outcomes: &[Outcome]) -> Vec<Gains> {
        let changes: Vec<Decibels> =
            outcomes.iter().enumerate().map(|(mix, outcome)| self.change(mix, outcome)).collect();
        let shared = self.shared_change(&changes);
        (0..gains.len())
            .map(|mix| {
                let follows = self.settings.level == LevelRule::Track || self.mixes[mix].stem;
                let change = if follows { shared } else { changes[mix] };
                let players = gains[mix].players + change;
                let programme = Loudness(outcomes[mix].programme.0 + change.0);
                self.with_fitting_pulses(players, gains[mix], programme)
            })
            .collect()
    }

    /// By how many LU a mix is quieter than asked for, where peaks are why: its own, or those of
    /// the mix that sets its gain.
    pub(super) fn short_of_target(
        &self,
        mix: usize,
        gains: &[Gains],
        outcomes: &[Outcome],
    ) -> Option<Decibels> {
        if self.settings.gain.is_some() {
            return None;
        }
        let reference = self.reference(mix)?;
        let programme = match reference.mix {
            Some(made) => outcomes[made].programme.0,
            None => reference.programme.loudness.0 + gains[mix].players.0,
        };
        let short = self.settings.target - programme;
        (short.is_finite() && short > TOLERANCE).then_some(Decibels(short))
    }

    /// What sets the gain of a mix: the fullest mix, or the mix itself.
    fn reference(&self, mix: usize) -> Option<&Measured> {
        let own = |measured: &&Measured| {
            self.settings.level == LevelRule::Each && measured.mix == Some(mix)
        };
        let measured = &self.survey.measured;
        measured.iter().find(own).or_else(|| measured.first())
    }

    fn gains(&self, players: Decibels, programme: Loudness) -> Gains {
        let gain = |pulse: Option<Pulse>, under| {
            pulse.map_or(Decibels(0.0), |pulse| pulse_gain(pulse, programme, under))
        };
        Gains {
            players,
            click: gain(self.survey.click, self.settings.click_under),
            count_in: gain(self.survey.count_in, self.settings.count_in_under),
        }
    }

    /// What must be added to the gain of a mix, by what its limiter had to do.
    fn change(&self, mix: usize, outcome: &Outcome) -> Decibels {
        if self.settings.gain.is_some() {
            return Decibels(0.0);
        }
        let too_much = if self.mixes[mix].stem {
            outcome.true_peak - CEILING
        } else {
            outcome.limiter.deepest - MOST_REDUCTION
        };
        if too_much > ROUNDING {
            return -too_much;
        }
        let sets_its_gain = self.reference(mix).is_some_and(|measured| measured.mix == Some(mix));
        let missing = Decibels(self.settings.target - outcome.programme.0);
        let room = MOST_REDUCTION - outcome.limiter.deepest;
        let more = if room < missing { room } else { missing };
        if sets_its_gain && missing.0.is_finite() && more.0 > WORTH_CORRECTING {
            more
        } else {
            Decibels(0.0)
        }
    }

    /// The change for mixes with one gain: down as far as any needs, else up.
    fn shared_change(&self, changes: &[Decibels]) -> Decibels {
        let least = |low: Decibels, change: &Decibels| if *change < low { *change } else { low };
        let down = changes.iter().fold(Decibels(0.0), least);
        if down < Decibels(0.0) {
            return down;
        }
        changes.iter().fold(down, |high, change| if *change > high { *change } else { high })
    }

    /// Keeps the click and the count-in where they fit the programme of their mix, else sets them
    /// by it.
    fn with_fitting_pulses(&self, players: Decibels, gains: Gains, programme: Loudness) -> Gains {
        let under = |pulse: Option<Pulse>, gain: Decibels| {
            pulse.map_or(f64::NAN, |pulse| programme.0 - (pulse.loudest.0 + gain.0))
        };
        let fitting = self.gains(players, programme);
        let click = under(self.survey.click, gains.click);
        let count_in = under(self.survey.count_in, gains.count_in);
        let keeps_click = !click.is_finite() || CLICK_UNDER.contains(&click);
        let keeps_count_in = !count_in.is_finite() || count_in >= 0.0;
        Gains {
            players,
            click: if keeps_click { gains.click } else { fitting.click },
            count_in: if keeps_count_in { gains.count_in } else { fitting.count_in },
        }
    }
}

//! Which mixes are wanted, and how loud.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use crate::performance::Part;
use crate::units::{Decibels, Frames, SampleRate};

/// One mix of a take: who is heard, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct MixSpec {
    /// The parts that are heard; those that the take does not have are silent.
    pub parts: BTreeSet<Part>,
    /// One part to one side, the rest to the other.
    pub balance: Option<Balance>,
    /// A stem carries the gain of its take's mixes but passes no limiter, so that stems sum to
    /// the mix before its limiter.
    pub stem: bool,
}

impl MixSpec {
    /// These parts together.
    #[must_use]
    pub fn of(parts: &[Part]) -> MixSpec {
        MixSpec { parts: parts.iter().copied().collect(), balance: None, stem: false }
    }

    /// The players among the parts: all but click and count-in.
    pub(super) fn players(&self) -> BTreeSet<Part> {
        self.parts.iter().copied().filter(|part| is_player(*part)).collect()
    }

    /// Where a part is in this mix, on top of its place on the desk; `None` where it is absent.
    pub(super) fn placement(&self, part: Part) -> Option<f64> {
        if !self.parts.contains(&part) {
            return None;
        }
        let Some(balance) = self.balance else { return Some(0.0) };
        Some(match part {
            _ if part == balance.part => balance.side(),
            Part::Drums | Part::Click | Part::CountIn => 0.0,
            _ => -balance.side(),
        })
    }
}

/// Whether a part belongs to the programme, whose loudness counts.
pub(super) fn is_player(part: Part) -> bool {
    !matches!(part, Part::Click | Part::CountIn)
}

/// A mix to be balanced by the listener: turning the balance knob takes one part out. Drums, click
/// and count-in stay in the middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The part that goes to one side.
    pub part: Part,
    /// How far and which way: -1 fully left, 1 fully right; the rest goes as far the other way.
    pub amount: f64,
}

impl Balance {
    fn side(self) -> f64 {
        if self.amount.is_finite() { self.amount.clamp(-1.0, 1.0) } else { 0.0 }
    }
}

/// What one gain is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum LevelRule {
    /// All mixes of a take get the gain that its fullest mix needs.
    #[default]
    Track,
    /// Every mix gets the gain that it needs itself.
    Each,
}

/// Which frames of a take are given out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Extent {
    /// From the beginning until the last sound has died away.
    #[default]
    Whole,
    /// From one frame up to, not including, another, cut without a fade. The take must sound on
    /// after the end: what rings or follows there bends the limiter here.
    Cut {
        /// The first frame given out.
        from: Frames,
        /// The first frame not given out.
        to: Frames,
    },
}

/// Everything that holds for all mixes of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct MixSettings {
    /// Frames per second.
    pub rate: SampleRate,
    /// Integrated loudness of the programme, in LUFS. -16 is what AES TD1008 (2021) gives for
    /// music tracks.
    pub target: f64,
    /// The gain of the players in all mixes, in place of the one that brings them to `target`: for
    /// what is to be as loud as something made before. The limiter takes away what it must.
    pub gain: Option<Decibels>,
    /// Whether mixes share their gain.
    pub level: LevelRule,
    /// Levels and places of the players.
    pub desk: Desk,
    /// Which frames are given out.
    pub extent: Extent,
    /// How far under the programme's loudness the loudest 400 ms of the click are, in LU (6 to 12).
    pub click_under: Decibels,
    /// The same for the count-in (0 or more).
    pub count_in_under: Decibels,
    /// Whether the players play in a thread of their own, ahead of the mixes.
    pub player_thread: bool,
}

impl Default for MixSettings {
    /// The click lies in the middle of its range, so that it fits mixes 3 LU louder or softer than
    /// the fullest as well.
    fn default() -> MixSettings {
        MixSettings {
            rate: SampleRate::default(),
            target: -16.0,
            gain: None,
            level: LevelRule::default(),
            desk: Desk::default(),
            extent: Extent::default(),
            click_under: Decibels(9.0),
            count_in_under: Decibels(6.0),
            player_thread: false,
        }
    }
}

//! The buses of one block become a mix: added up, limited, faded.

use std::ops::Range;
use std::sync::Arc;

use super::block::Block;
use super::given_peak::GivenPeak;
use super::groups::Places;
use super::level::{CEILING, MARGIN};
use super::limiter::{Companion, LATENCY, Limiter, LimiterReport, Scanned};
use super::tail::Ending;
use crate::units::SampleRate;

/// A mix's limiter, and what it needs to know of earlier blocks.
pub(super) struct Mixdown {
    places: Places,
    /// `None` in a stem.
    limiter: Option<Limiter>,
    true_peak: GivenPeak,
    /// What treats the players alone, while click or count-in sound.
    apart: Option<Apart>,
    /// Half a second.
    settled: u64,
}

/// The players without click and count-in.
struct Apart {
    companion: Option<Companion>,
    /// For how many frames nothing else has sounded.
    alone: u64,
}

/// A block of a mix.
pub(super) struct Mixed {
    sum: Block,
    players: Block,
    /// Whether the players alone differ from the sum, or did so a short while ago.
    is_apart: bool,
    /// Whether limiter or fade changed anything.
    is_changed: bool,
    /// The peaks that the limiter found.
    scanned: Option<Scanned>,
    given: Range<usize>,
}

impl Mixed {
    pub(super) fn silent() -> Mixed {
        let (sum, players) = (Block::silent(), Block::default());
        Mixed { sum, players, is_apart: false, is_changed: false, scanned: None, given: 0..0 }
    }

    /// Sets which frames of it are given out.
    pub(super) fn give(&mut self, given: Range<usize>) {
        self.given = given;
    }

    /// Fades what is given out, where it lies in the last fade of a take. The block as it went into
    /// the mix began at a frame of the take and came out `delay` later.
    pub(super) fn fade(&mut self, ending: Ending, position: u64, delay: u64) {
        let start = (position + self.given.start as u64).saturating_sub(delay);
        let Block { left, right, .. } = &mut self.sum;
        let (left, right) = (&mut left[self.given.clone()], &mut right[self.given.clone()]);
        self.is_changed |= ending.fade(start, left, right);
    }

    /// Whether limiter or fade changed anything.
    pub(super) fn is_changed(&self) -> bool {
        self.is_changed
    }

    /// The peaks that the limiter found, where all of the block is given out as it was.
    fn scanned(&self) -> Option<Scanned> {
        self.scanned.filter(|_| !self.is_changed && self.given == (0..self.sum.left.len()))
    }

    /// What is given out.
    pub(super) fn given(&self) -> [&[f32]; 2] {
        self.sum.channels().map(|side| &side[self.given.clone()])
    }

    /// The players alone, where they may differ from what is given out.
    pub(super) fn players(&self) -> Option<[&[f32]; 2]> {
        self.is_apart.then(|| self.players.channels().map(|side| &side[self.given.clone()]))
    }
}

impl Mixdown {
    /// A mix of buses in their places.
    pub(super) fn new(places: Places, is_limited: bool, rate: SampleRate) -> Mixdown {
        Mixdown {
            places,
            limiter: is_limited.then(|| Limiter::new(CEILING - MARGIN)),
            true_peak: GivenPeak::new(),
            apart: None,
            settled: u64::from(rate.hz() / 2),
        }
    }

    /// How much later frames come out than they went in.
    pub(super) fn delay(&self) -> u64 {
        self.limiter.as_ref().map_or(0, |_| LATENCY.0)
    }

    /// What the limiter did so far.
    pub(super) fn limited(&self) -> LimiterReport {
        self.limiter.as_ref().map(Limiter::report).unwrap_or_default()
    }

    /// The true peak of what was given out.
    pub(super) fn true_peak(self) -> f32 {
        self.true_peak.finish()
    }

    /// Measures what is given out of a block, which was mixed last.
    pub(super) fn measure(&mut self, mixed: &Mixed) {
        self.true_peak.hear(mixed.given(), mixed.scanned());
    }

    /// Sums the blocks and limits the sum; the players alone go with it where they must.
    pub(super) fn mix(&mut self, blocks: &[Arc<Block>], mixed: &mut Mixed) {
        let Mixdown { places, limiter, true_peak, apart, settled } = self;
        let Mixed { sum, players, is_apart, is_changed, scanned, .. } = mixed;
        places.add_up_players(blocks, sum);
        if places.has_pulses(blocks) {
            let companion = || limiter.as_ref().map(Limiter::companion);
            let apart = apart.get_or_insert_with(|| Apart { companion: companion(), alone: 0 });
            apart.alone = 0;
            players.copy_from(sum);
            places.add_pulses(blocks, sum);
        } else if apart.as_ref().is_some_and(|apart| apart.alone > *settled) {
            *apart = None;
        } else if let Some(apart) = apart {
            players.copy_from(sum);
            apart.alone += sum.left.len() as u64;
        }
        (*is_apart, *is_changed) = (apart.is_some(), false);
        if let Some(limiter) = limiter {
            let above = true_peak.so_far();
            *scanned = Some(limiter.limit_and_tell(&mut sum.left, &mut sum.right, above));
            *is_changed = limiter.has_limited();
            if let Some(Apart { companion: Some(companion), .. }) = apart {
                companion.follow(limiter, &mut players.left, &mut players.right);
            }
        }
    }
}

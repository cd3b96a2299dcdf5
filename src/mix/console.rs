//! The time through a take that is given out: all its mixes, block by block.

use super::buses::{Block, Places, buses, groups};
use super::error::MixError;
use super::gains::Gains;
use super::level::{CEILING, MARGIN};
use super::limiter::{Companion, LATENCY, Limiter, LimiterReport};
use super::meter::{Loudness, LoudnessMeter, PartAndWhole, TruePeakMeter};
use super::playback::{Listener, overlap, play, replay};
use super::recording::Recording;
use super::source::{BlockSink, Studio};
use super::spec::{MixSettings, MixSpec};
use super::tail::Ending;
use crate::feel::Performance;
use crate::units::{Decibels, Frames};

/// Which frames are given out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span {
    pub(super) from: Frames,
    pub(super) to: Frames,
    /// How the last frames are faded, where they are.
    pub(super) ending: Option<Ending>,
}

impl Span {
    pub(super) fn frames(&self) -> Frames {
        self.to - self.from
    }
}

/// One mix to be made.
pub(super) struct Order<S> {
    /// Its index among the mixes asked for.
    pub(super) mix: usize,
    pub(super) spec: MixSpec,
    pub(super) gains: Gains,
    pub(super) sink: S,
}

/// What was measured on one mix.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outcome {
    pub(super) programme: Loudness,
    pub(super) loudness: Loudness,
    pub(super) true_peak: Decibels,
    pub(super) limiter: LimiterReport,
}

/// Mixes a take into its sinks, and gives them back with what was measured. What was recorded is
/// not made again.
pub(super) fn perform<S: BlockSink>(
    take: &Performance,
    studio: &dyn Studio,
    settings: &MixSettings,
    span: Span,
    recording: Option<&Recording>,
    orders: Vec<Order<S>>,
) -> Result<Vec<(usize, S, Outcome)>, MixError> {
    let specs: Vec<MixSpec> = orders.iter().map(|order| order.spec.clone()).collect();
    let unrecorded = recording.is_none().then(|| groups(take, &specs));
    let groups = recording.map_or(unrecorded.as_deref().unwrap_or_default(), |kept| &kept.groups);
    let mut outputs: Vec<Output<S>> = Vec::new();
    for (index, order) in orders.into_iter().enumerate() {
        let index = recording.map_or(index, |kept| kept.first_mix + order.mix);
        let places = Places::of(groups, index, |kind| order.gains.of(kind).gain());
        outputs.push(Output::new(order, places, span, settings));
    }
    let mut listeners: Vec<&mut dyn Listener> = Vec::new();
    for output in &mut outputs {
        listeners.push(output);
    }
    let to_make = recording.map_or(usize::MAX, Recording::gone);
    let mut position = 0;
    if to_make > 0 {
        let mut buses = buses(take, studio, groups, &settings.desk)?;
        position = play(&mut buses, &mut listeners, settings.spread, to_make, |heard| heard)?;
    }
    if let Some(recording) = recording {
        replay(recording, position, &mut listeners, settings.spread)?;
    }
    Ok(outputs.into_iter().map(Output::finish).collect())
}

/// One mix on its way out.
struct Output<S> {
    mix: usize,
    sink: S,
    span: Span,
    places: Places,
    /// `None` in a stem.
    limiter: Option<Limiter>,
    sum: Block,
    /// The players alone, while click or count-in sound.
    apart: Option<Apart>,
    /// Half a second.
    settled: usize,
    loudness: PartAndWhole,
    true_peak: TruePeakMeter,
}

/// The players without click and count-in.
struct Apart {
    players: Block,
    companion: Option<Companion>,
    /// For how many frames nothing else has sounded.
    alone: usize,
}

impl<S: BlockSink> Output<S> {
    fn new(order: Order<S>, places: Places, span: Span, settings: &MixSettings) -> Output<S> {
        Output {
            mix: order.mix,
            sink: order.sink,
            span,
            places,
            limiter: (!order.spec.stem).then(|| Limiter::new(CEILING - MARGIN)),
            sum: Block::silent(),
            apart: None,
            settled: usize::try_from(settings.rate.hz() / 2).unwrap_or(usize::MAX),
            loudness: PartAndWhole::new(LoudnessMeter::new(settings.rate)),
            true_peak: TruePeakMeter::new(),
        }
    }

    fn delay(&self) -> u64 {
        self.limiter.as_ref().map_or(0, |_| LATENCY.0)
    }

    /// Sums the blocks and limits the sum; the players alone go with it where they must.
    fn mix(&mut self, blocks: &[Block]) {
        let Output { places, limiter, sum, apart, settled, .. } = self;
        sum.clear();
        places.add_players(blocks, sum);
        if places.has_pulses(blocks) {
            let companion = || limiter.as_ref().map(Limiter::companion);
            let new = || Apart { players: Block::silent(), companion: companion(), alone: 0 };
            let apart = apart.get_or_insert_with(new);
            apart.players.copy_from(sum);
            apart.alone = 0;
            places.add_pulses(blocks, sum);
        } else if apart.as_ref().is_some_and(|apart| apart.alone > *settled) {
            *apart = None;
        } else if let Some(apart) = apart {
            apart.players.copy_from(sum);
            apart.alone += sum.left.len();
        }
        if let Some(limiter) = limiter {
            limiter.limit(&mut sum.left, &mut sum.right);
            if let Some(Apart { players, companion: Some(companion), .. }) = apart {
                companion.follow(limiter, &mut players.left, &mut players.right);
            }
        }
    }

    fn finish(mut self) -> (usize, S, Outcome) {
        let (programme, loudness) = self.loudness.integrated();
        let outcome = Outcome {
            programme,
            loudness,
            true_peak: Decibels::of(f64::from(self.true_peak.finish())),
            limiter: self.limiter.map(|limiter| limiter.report()).unwrap_or_default(),
        };
        (self.mix, self.sink, outcome)
    }
}

impl<S: BlockSink> Listener for Output<S> {
    fn hear(&mut self, blocks: &[Block], position: u64) -> Result<(), MixError> {
        self.mix(blocks);
        // What comes out now began `delay` frames earlier.
        let delay = self.delay();
        let given = overlap(position, self.span.from.0 + delay, self.span.to.0 + delay);
        if given.is_empty() {
            return Ok(());
        }
        let start = position + given.start as u64 - delay;
        let left = &mut self.sum.left[given.clone()];
        let right = &mut self.sum.right[given.clone()];
        if let Some(ending) = self.span.ending {
            ending.fade(start, left, right);
        }
        self.true_peak.add(left, right);
        if let Some(Apart { players, .. }) = &self.apart {
            let [players_left, players_right] = players.channels();
            let players = [&players_left[given.clone()], &players_right[given]];
            self.loudness.add_apart(players, [left, right]);
        } else {
            self.loudness.add_alike(left, right);
        }
        let failed = |source| MixError::Write { mix: self.mix, source };
        self.sink.write_block(left, right).map_err(failed)
    }

    fn wants_more(&self, position: u64) -> bool {
        position < self.span.to.0 + self.delay()
    }
}

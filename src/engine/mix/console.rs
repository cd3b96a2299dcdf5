//! The time through a take that is given out: all its mixes, block by block.

use std::sync::Arc;

use super::block::{BLOCK, Block};
use super::buses::buses;
use super::error::MixError;
use super::gains::Gains;
use super::groups::{Places, groups};
use super::limiter::{LATENCY, LimiterReport};
use super::meter::{Loudness, PartAndWhole};
use super::mixdown::{Mixdown, Mixed};
use super::playback::{overlap, play};
use super::recording::Recording;
use super::source::{BlockSink, Studio};
use super::spec::{MixSettings, MixSpec};
use super::tail::Ending;
use crate::performance::Performance;
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
    /// The mean squares of the hops of its programme at these gains, before limiter and fade; empty
    /// where they were not measured.
    pub(super) known: Vec<f64>,
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
    // What comes out of a limiter last is what went in a little earlier.
    let end = span.to.0 + LATENCY.0;
    let buses = buses(take, studio, groups, &settings.desk, recording)?;
    play(buses, studio, settings.player_thread, |blocks, position| {
        outputs.iter_mut().try_for_each(|output| output.hear(blocks, position))?;
        Ok(position + (BLOCK as u64) < end)
    })?;
    Ok(outputs.into_iter().map(Output::finish).collect())
}

/// One mix on its way out.
struct Output<S> {
    mix: usize,
    span: Span,
    mixdown: Mixdown,
    loudness: PartAndWhole,
    sink: S,
    /// The block at hand.
    mixed: Mixed,
}

impl<S: BlockSink> Output<S> {
    fn new(order: Order<S>, places: Places, span: Span, settings: &MixSettings) -> Output<S> {
        Output {
            mix: order.mix,
            span,
            mixdown: Mixdown::new(places, !order.spec.stem, settings.rate),
            loudness: PartAndWhole::new(settings.rate, order.known),
            sink: order.sink,
            mixed: Mixed::silent(),
        }
    }

    /// Hears the next block of every bus, which begin at a frame of the take.
    fn hear(&mut self, blocks: &[Arc<Block>], position: u64) -> Result<(), MixError> {
        let Output { mix, span, mixdown, loudness, sink, mixed } = self;
        mixdown.mix(blocks, mixed);
        // What comes out now began `delay` frames earlier.
        let delay = mixdown.delay();
        mixed.give(overlap(position, span.from.0 + delay, span.to.0 + delay));
        if let Some(ending) = span.ending {
            mixed.fade(ending, position, delay);
        }
        mixdown.measure(mixed);
        weigh(loudness, mixed);
        let [left, right] = mixed.given();
        if left.is_empty() {
            return Ok(());
        }
        let written = sink.write_block(left, right);
        written.map_err(|source| MixError::Write { mix: *mix, source })
    }

    fn finish(self) -> (usize, S, Outcome) {
        let (programme, loudness) = self.loudness.integrated();
        let outcome = Outcome {
            programme,
            loudness,
            limiter: self.mixdown.limited(),
            true_peak: Decibels::of(f64::from(self.mixdown.true_peak())),
        };
        (self.mix, self.sink, outcome)
    }
}

fn weigh(loudness: &mut PartAndWhole, mixed: &Mixed) {
    let (given, known) = (mixed.given(), !mixed.is_changed());
    match mixed.players() {
        Some(players) => loudness.add_apart(players, given, known),
        None => loudness.add_alike(given, known),
    }
}

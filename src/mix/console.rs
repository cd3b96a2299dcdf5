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
use super::playback::{Listener, overlap, play};
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
    let mut listeners: Vec<&mut dyn Listener> = Vec::new();
    for output in &mut outputs {
        listeners.push(output);
    }
    // What comes out of a limiter last is what went in a little earlier.
    let end = span.to.0 + LATENCY.0;
    let buses = buses(take, studio, groups, &settings.desk, recording)?;
    let goes_on = |_: &[Arc<Block>], at| at + (BLOCK as u64) < end;
    play(buses, &mut listeners, settings.spread, goes_on, |_| ())?;
    outputs.into_iter().map(Output::finish).collect()
}

/// One mix on its way out.
struct Output<S> {
    mix: usize,
    mixing: Mixing,
    sink: S,
    /// Blocks that are being mixed, and, where threads share the work, those that wait to be written.
    mixed: Vec<Mixed>,
    ready: Vec<Mixed>,
}

/// What makes a mix of blocks, and measures it.
struct Mixing {
    span: Span,
    mixdown: Mixdown,
    loudness: PartAndWhole,
}

impl<S: BlockSink> Output<S> {
    fn new(order: Order<S>, places: Places, span: Span, settings: &MixSettings) -> Output<S> {
        let mixdown = Mixdown::new(places, !order.spec.stem, settings.rate);
        let loudness = PartAndWhole::new(settings.rate, order.known);
        Output {
            mix: order.mix,
            mixing: Mixing { span, mixdown, loudness },
            sink: order.sink,
            mixed: Vec::new(),
            ready: Vec::new(),
        }
    }

    fn finish(mut self) -> Result<(usize, S, Outcome), MixError> {
        write(self.mix, &mut self.sink, &self.ready)?;
        Ok((self.mix, self.sink, self.mixing.finish()))
    }
}

impl<S: BlockSink> Listener for Output<S> {
    fn hear(
        &mut self,
        times: &[Vec<Arc<Block>>],
        position: u64,
        spread: bool,
    ) -> Result<(), MixError> {
        let Output { mix, mixing, sink, mixed, ready } = self;
        if !spread {
            mixing.mix(times, position, mixed);
            return write(*mix, sink, mixed);
        }
        let mixes = || mixing.mix(times, position, mixed);
        let (written, ()) = rayon::join(|| write(*mix, sink, ready), mixes);
        std::mem::swap(mixed, ready);
        written
    }
}

fn write(mix: usize, sink: &mut impl BlockSink, mixed: &[Mixed]) -> Result<(), MixError> {
    let written = mixed.iter().try_for_each(|mixed| {
        let [left, right] = mixed.given();
        if left.is_empty() { Ok(()) } else { sink.write_block(left, right) }
    });
    written.map_err(|source| MixError::Write { mix, source })
}

impl Mixing {
    fn mix(&mut self, times: &[Vec<Arc<Block>>], position: u64, mixed: &mut Vec<Mixed>) {
        let Mixing { span, mixdown, loudness } = self;
        mixed.resize_with(times.len(), Mixed::silent);
        let delay = mixdown.delay();
        let mut position = position;
        for (blocks, mixed) in times.iter().zip(mixed) {
            mixdown.mix(blocks, mixed);
            // What comes out now began `delay` frames earlier.
            mixed.give(overlap(position, span.from.0 + delay, span.to.0 + delay));
            if let Some(ending) = span.ending {
                mixed.fade(ending, position, delay);
            }
            mixdown.measure(mixed);
            weigh(loudness, mixed);
            position += BLOCK as u64;
        }
    }

    fn finish(self) -> Outcome {
        let (programme, loudness) = self.loudness.integrated();
        Outcome {
            programme,
            loudness,
            limiter: self.mixdown.limited(),
            true_peak: Decibels::of(f64::from(self.mixdown.true_peak())),
        }
    }
}

fn weigh(loudness: &mut PartAndWhole, mixed: &Mixed) {
    let (given, known) = (mixed.given(), !mixed.is_changed());
    match mixed.players() {
        Some(players) => loudness.add_apart(players, given, known),
        None => loudness.add_alike(given, known),
    }
}

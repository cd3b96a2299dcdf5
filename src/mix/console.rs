//! The time through a take that is given out: all its mixes, block by block.

use super::buses::{BLOCK, Bus, BusKind, Stereo, add_up, buses};
use super::error::MixError;
use super::gains::Gains;
use super::level::{CEILING, MARGIN};
use super::limiter::{LATENCY, Limiter, LimiterReport};
use super::meter::{Loudness, LoudnessMeter, TruePeakMeter};
use super::pan::Matrix;
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

/// What was measured on one mix.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outcome {
    pub(super) programme: Loudness,
    pub(super) loudness: Loudness,
    pub(super) true_peak: Decibels,
    pub(super) limiter: LimiterReport,
}

/// Mixes a take into its sinks, one a mix.
pub(super) fn perform<S: BlockSink>(
    take: &Performance,
    studio: &dyn Studio,
    settings: &MixSettings,
    mixes: &[(MixSpec, Gains)],
    span: Span,
    sinks: &mut [(usize, S)],
) -> Result<Vec<Outcome>, MixError> {
    let specs: Vec<MixSpec> = mixes.iter().map(|(spec, _)| spec.clone()).collect();
    let mut buses = buses(take, studio, &specs, &settings.desk)?;
    let mut outputs: Vec<Output> = mixes
        .iter()
        .enumerate()
        .map(|(index, (mix, gains))| Output::new(index, mix, gains, &buses, span, settings))
        .collect();
    let mut position = 0;
    while position < span.to.0 + LATENCY.0 {
        for bus in &mut buses {
            bus.advance(BLOCK)?;
        }
        for (output, (mix, sink)) in outputs.iter_mut().zip(&mut *sinks) {
            output
                .advance(&buses, position, sink)
                .map_err(|source| MixError::Write { mix: *mix, source })?;
        }
        position += BLOCK as u64;
    }
    Ok(outputs.into_iter().map(Output::outcome).collect())
}

/// One mix on its way out.
struct Output {
    /// What each bus gets here.
    places: Vec<Option<Matrix>>,
    /// `None` in a stem.
    limiter: Option<Limiter>,
    span: Span,
    sum: Stereo,
    /// The players alone, where there is anything else.
    programme: Option<(Stereo, LoudnessMeter)>,
    loudness: LoudnessMeter,
    true_peak: TruePeakMeter,
}

impl Output {
    fn new(
        index: usize,
        mix: &MixSpec,
        gains: &Gains,
        buses: &[Bus],
        span: Span,
        settings: &MixSettings,
    ) -> Output {
        let place = |bus: &Bus| {
            let place = bus.places.get(index).copied().flatten();
            place.map(|place| place.scaled(gains.of(bus.kind).gain()))
        };
        let has_pulse =
            buses.iter().any(|bus| bus.kind != BusKind::Programme && bus.places[index].is_some());
        Output {
            places: buses.iter().map(place).collect(),
            limiter: (!mix.stem).then(|| Limiter::new(CEILING - MARGIN)),
            span,
            sum: Stereo::default(),
            programme: has_pulse.then(|| (Stereo::default(), LoudnessMeter::new(settings.rate))),
            loudness: LoudnessMeter::new(settings.rate),
            true_peak: TruePeakMeter::new(),
        }
    }

    /// Takes the block that the buses have made, which begins at a frame of the take.
    fn advance(
        &mut self,
        buses: &[Bus],
        position: u64,
        sink: &mut impl BlockSink,
    ) -> std::io::Result<()> {
        let frames = buses.first().map_or(BLOCK, |bus| bus.block()[0].len());
        let sum = &mut self.sum;
        sum.clear(frames);
        add_up(buses, &self.places, |kind| kind == BusKind::Programme, sum);
        if let Some((players, _)) = &mut self.programme {
            players.clone_from(sum);
            add_up(buses, &self.places, |kind| kind != BusKind::Programme, sum);
        }
        let mut delay = 0;
        if let Some(limiter) = &mut self.limiter {
            limiter.limit(&mut sum.left, &mut sum.right);
            if let Some((players, _)) = &mut self.programme {
                limiter.accompany(&mut players.left, &mut players.right);
            }
            delay = LATENCY.0;
        }

        // What comes out now began `delay` frames earlier.
        let given = overlap(position, frames, self.span.from.0 + delay, self.span.to.0 + delay);
        if given.is_empty() {
            return Ok(());
        }
        let start = position + given.start as u64 - delay;
        let (left, right) = (&mut sum.left[given.clone()], &mut sum.right[given.clone()]);
        if let Some(ending) = self.span.ending {
            ending.fade(start, left, right);
        }
        self.loudness.add(left, right);
        self.true_peak.add(left, right);
        if let Some((players, loudness)) = &mut self.programme {
            loudness.add(&players.left[given.clone()], &players.right[given]);
        }
        sink.write_block(left, right)
    }

    fn outcome(mut self) -> Outcome {
        let loudness = self.loudness.integrated();
        Outcome {
            programme: self.programme.map_or(loudness, |(_, meter)| meter.integrated()),
            loudness,
            true_peak: Decibels::of(f64::from(self.true_peak.finish())),
            limiter: self.limiter.map(|limiter| limiter.report()).unwrap_or_default(),
        }
    }
}

/// Which frames of a block lie between two frames of the whole, counted from the block's start.
pub(super) fn overlap(position: u64, frames: usize, from: u64, to: u64) -> std::ops::Range<usize> {
    let within = |frame: u64| {
        usize::try_from(frame.saturating_sub(position)).unwrap_or(usize::MAX).min(frames)
    };
    within(from)..within(to).max(within(from))
}

//! A take from its first survey to its finished mixes.

use super::console::{Order, Outcome, Span, perform};
use super::error::MixError;
use super::gains::{Gains, Levels};
use super::report::{MixReport, TakeReport};
use super::source::{BlockSink, Studio};
use super::spec::{Extent, MixSettings, MixSpec};
use super::survey::{Survey, survey};
use crate::performance::Performance;
use crate::units::Frames;

/// How often a mix may be made before its level is taken as it is.
const MOST_ATTEMPTS: usize = 3;

/// Mixes a take: measures it, then gives every mix out, block by block.
///
/// `open` is asked for the sink of each mix, by its index in `mixes`, with the number of frames
/// that it will get. A sink that turns out to have been filled at a wrong level is dropped and
/// asked for again: dropping must leave nothing behind.
///
/// The answer holds the sinks in the order of `mixes`, all their frames written, to be finished
/// by the caller.
///
/// # Errors
/// Where a part has no sound, a sink fails, or a cut is empty.
pub fn render<S: BlockSink>(
    take: &Performance,
    studio: &dyn Studio,
    mixes: &[MixSpec],
    settings: &MixSettings,
    mut open: impl FnMut(usize, Frames) -> std::io::Result<S>,
) -> Result<(TakeReport, Vec<S>), MixError> {
    if let Extent::Cut { from, to } = settings.extent
        && from >= to
    {
        return Err(MixError::EmptyCut { from: from.0, to: to.0 });
    }
    let survey = survey(take, studio, settings, mixes)?;
    let levels = Levels { survey: &survey, mixes, settings };
    let mut gains = levels.first();
    let span = span(&survey, &gains, settings);
    let recording = survey.recording.as_ref();

    let mut made: Vec<Option<(S, Outcome)>> = mixes.iter().map(|_| None).collect();
    for attempt in 1..=MOST_ATTEMPTS {
        let mut orders = Vec::new();
        for (mix, spec) in mixes.iter().enumerate().filter(|(mix, _)| made[*mix].is_none()) {
            let failed = |source| MixError::Write { mix, source };
            let sink = open(mix, span.frames()).map_err(failed)?;
            let known = survey.hops(spec, gains[mix].players);
            orders.push(Order { mix, spec: spec.clone(), gains: gains[mix], known, sink });
        }
        for (mix, sink, outcome) in perform(take, studio, settings, span, recording, orders)? {
            made[mix] = Some((sink, outcome));
        }
        let outcomes: Vec<Outcome> = made.iter().flatten().map(|(_, outcome)| *outcome).collect();
        let better = levels.corrected(&gains, &outcomes);
        if attempt == MOST_ATTEMPTS || better == gains {
            break;
        }
        for (mix, made) in made.iter_mut().enumerate() {
            if better[mix] != gains[mix] {
                *made = None;
            }
        }
        gains = better;
    }

    let (sinks, outcomes): (Vec<S>, Vec<Outcome>) = made.into_iter().flatten().unzip();
    let reports = outcomes.iter().enumerate().map(|(mix, outcome)| MixReport {
        frames: span.frames(),
        programme: outcome.programme,
        loudness: outcome.loudness,
        true_peak: outcome.true_peak,
        gain: gains[mix].players,
        limiter: outcome.limiter,
        short_of_target: levels.short_of_target(mix, &gains, &outcomes),
    });
    Ok((TakeReport { mixes: reports.collect() }, sinks))
}

/// Which frames are given out. A whole take ends when its loudest mix has died away, so that all
/// its mixes have one length.
fn span(survey: &Survey, gains: &[Gains], settings: &MixSettings) -> Span {
    match settings.extent {
        Extent::Cut { from, to } => Span { from, to, ending: None },
        Extent::Whole => {
            let loudest = gains
                .iter()
                .flat_map(|gains| [gains.players, gains.click, gains.count_in])
                .map(|gain| gain.gain())
                .fold(0.0, f64::max);
            let ending = survey.tail.ending(loudest, settings.rate);
            Span { from: Frames::ZERO, to: ending.frames, ending: Some(ending) }
        }
    }
}

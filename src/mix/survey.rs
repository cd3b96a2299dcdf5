//! The first time through a take: how loud it is before any gain, and where it ends.

use std::collections::BTreeSet;
use std::ops::Range;

use super::buses::{BLOCK, BusKind, Stereo, add_up, buses};
use super::console::overlap;
use super::error::MixError;
use super::level::{Programme, Pulse};
use super::meter::{LoudnessMeter, TruePeakMeter};
use super::pan::Matrix;
use super::source::Studio;
use super::spec::{Extent, LevelRule, MixSettings, MixSpec};
use super::tail::TailSurvey;
use crate::feel::Performance;
use crate::part::Part;
use crate::units::SampleRate;

/// What the first time through tells.
pub(super) struct Survey {
    /// What was measured, fullest first; among equally full ones the loudest.
    pub(super) measured: Vec<Measured>,
    pub(super) click: Option<Pulse>,
    pub(super) count_in: Option<Pulse>,
    pub(super) tail: TailSurvey,
}

/// The players of one mix, measured.
pub(super) struct Measured {
    /// The mix among those asked for; `None` is the sum of all stems, where only stems are asked
    /// for.
    pub(super) mix: Option<usize>,
    pub(super) players: usize,
    pub(super) programme: Programme,
}

/// Which mixes are worth measuring: every one where each gets its own gain, else those whose
/// players are not all among the players of another. In most takes that is one.
fn candidates(mixes: &[MixSpec], level: LevelRule) -> Vec<(Option<usize>, MixSpec)> {
    let players: Vec<BTreeSet<Part>> = mixes.iter().map(MixSpec::players).collect();
    if mixes.iter().all(|mix| mix.stem) {
        let parts = players.into_iter().flatten().collect();
        return vec![(None, MixSpec { parts, balance: None, stem: false })];
    }
    let is_within = |inner: usize, outer: usize| {
        !mixes[outer].stem
            && players[inner].is_subset(&players[outer])
            && (players[inner].len() < players[outer].len() || outer < inner)
    };
    (0..mixes.len())
        .filter(|mix| !mixes[*mix].stem)
        .filter(|mix| {
            level == LevelRule::Each
                || !(0..mixes.len()).any(|other| other != *mix && is_within(*mix, other))
        })
        .map(|mix| (Some(mix), MixSpec { parts: players[mix].clone(), ..mixes[mix].clone() }))
        .collect()
}

/// Goes through a take without writing anything.
pub(super) fn survey(
    take: &Performance,
    studio: &dyn Studio,
    settings: &MixSettings,
    mixes: &[MixSpec],
) -> Result<Survey, MixError> {
    let rate = settings.rate;
    let chosen = candidates(mixes, settings.level);
    let pulses = [Part::Click, Part::CountIn].into_iter().filter(|part| wants(mixes, *part));
    let wanted: Vec<MixSpec> = chosen
        .iter()
        .map(|(_, spec)| spec.clone())
        .chain(pulses.map(|part| MixSpec::of(&[part])))
        .collect();
    let mut buses = buses(take, studio, &wanted, &settings.desk)?;
    let places = |mix: usize| buses.iter().map(|bus| bus.places[mix]).collect();
    let mut programmes: Vec<(Vec<Option<Matrix>>, Gauge)> =
        (0..chosen.len()).map(|mix| (places(mix), Gauge::new(rate))).collect();
    let (mut click, mut count_in) = (Gauge::new(rate), Gauge::new(rate));

    let (from, to) = match settings.extent {
        Extent::Whole => (0, u64::MAX),
        Extent::Cut { from, to } => (from.0, to.0),
    };
    let mut tail = TailSurvey::new(take.tempo.frame(take.end, rate), rate);
    let (mut sum, mut everything) = (Stereo::default(), Stereo::default());
    let mut position = 0;
    while position < to && !(settings.extent == Extent::Whole && tail.is_over()) {
        let heard = overlap(position, BLOCK, from, to);
        everything.clear(BLOCK);
        for bus in &mut buses {
            bus.advance(BLOCK)?;
            loudest_of(&mut everything, bus.block());
            match bus.kind {
                BusKind::Programme => {}
                BusKind::Click => click.add(bus.block(), heard.clone()),
                BusKind::CountIn => count_in.add(bus.block(), heard.clone()),
            }
        }
        for (places, gauge) in &mut programmes {
            sum.clear(BLOCK);
            add_up(&buses, places, |_| true, &mut sum);
            gauge.add(sum.both(), heard.clone());
        }
        tail.add(position, everything.both());
        position += BLOCK as u64;
    }

    let mut measured: Vec<Measured> = chosen
        .iter()
        .zip(programmes)
        .map(|((mix, spec), (_, gauge))| Measured {
            mix: *mix,
            players: spec.parts.len(),
            programme: gauge.programme(),
        })
        .collect();
    measured.sort_by(|one, other| {
        let loudness = |measured: &Measured| measured.programme.loudness.0;
        let fuller = other.players.cmp(&one.players);
        fuller.then(loudness(other).total_cmp(&loudness(one)))
    });
    let kept = |part, gauge: Gauge| wants(mixes, part).then(|| gauge.pulse());
    Ok(Survey {
        measured,
        click: kept(Part::Click, click),
        count_in: kept(Part::CountIn, count_in),
        tail,
    })
}

fn wants(mixes: &[MixSpec], part: Part) -> bool {
    mixes.iter().any(|mix| mix.parts.contains(&part))
}

/// Keeps the louder of each pair of samples: what is still to be heard of any bus.
fn loudest_of(most: &mut Stereo, block: [&[f32]; 2]) {
    for (kept, samples) in [&mut most.left, &mut most.right].into_iter().zip(block) {
        for (kept, sample) in kept.iter_mut().zip(samples) {
            *kept = kept.max(sample.abs());
        }
    }
}

/// Loudness and true peak of one signal.
struct Gauge {
    loudness: LoudnessMeter,
    true_peak: TruePeakMeter,
}

impl Gauge {
    fn new(rate: SampleRate) -> Gauge {
        Gauge { loudness: LoudnessMeter::new(rate), true_peak: TruePeakMeter::new() }
    }

    fn add(&mut self, [left, right]: [&[f32]; 2], heard: Range<usize>) {
        let (left, right) = (&left[heard.clone()], &right[heard]);
        self.loudness.add(left, right);
        self.true_peak.add(left, right);
    }

    fn programme(mut self) -> Programme {
        Programme { loudness: self.loudness.integrated(), true_peak: self.true_peak.finish() }
    }

    fn pulse(mut self) -> Pulse {
        Pulse { loudest: self.loudness.loudest_moment(), true_peak: self.true_peak.finish() }
    }
}

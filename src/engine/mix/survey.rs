//! The first time through a take: how loud it is before any gain, and where it ends.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::block::{BLOCK, Block};
use super::buses::buses;
use super::error::MixError;
use super::groups::{Places, groups};
use super::level::{Programme, Pulse};
use super::limiter::LATENCY;
use super::meter::{LoudnessMeter, TruePeakMeter};
use super::playback::{overlap, play};
use super::recording::Recording;
use super::source::Studio;
use super::spec::{Extent, LevelRule, MixSettings, MixSpec};
use super::tail::TailSurvey;
use crate::performance::Part;
use crate::performance::Performance;
use crate::units::Decibels;

/// What the first time through tells.
pub(super) struct Survey {
    /// What was measured, fullest first; among equally full ones the loudest.
    pub(super) measured: Vec<Measured>,
    pub(super) click: Option<Pulse>,
    pub(super) count_in: Option<Pulse>,
    pub(super) tail: TailSurvey,
    /// What was heard, where the mixes can be made of it.
    pub(super) recording: Option<Recording>,
}

/// The players of one mix, measured.
pub(super) struct Measured {
    /// The mix among those asked for; `None` is the sum of all stems, where only stems are asked
    /// for.
    pub(super) mix: Option<usize>,
    pub(super) spec: MixSpec,
    pub(super) programme: Programme,
    /// The mean squares of its hops.
    pub(super) hops: Vec<f64>,
}

impl Survey {
    /// The mean squares of the hops of a mix's programme at a gain; none where it was not measured.
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub(super) fn hops(&self, mix: &MixSpec, gain: Decibels) -> Vec<f64> {
        let players = MixSpec { parts: mix.players(), ..mix.clone() };
        let same = |measured: &&Measured| {
            measured.spec.parts == players.parts && measured.spec.balance == players.balance
        };
        let hops = self.measured.iter().find(same).map(|measured| measured.hops.as_slice());
        // As the samples are multiplied.
        let square = f64::from(gain.gain() as f32).powi(2);
        hops.unwrap_or_default().iter().map(|hop| hop * square).collect()
    }
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
    let chosen = candidates(mixes, settings.level);
    let pulse = |part| mixes.iter().any(|mix| mix.parts.contains(&part)).then_some(part);
    let (click, count_in) = (pulse(Part::Click), pulse(Part::CountIn));
    let alone = click.iter().chain(&count_in).map(|part| MixSpec::of(&[*part]));
    let wanted: Vec<MixSpec> = chosen.iter().map(|(_, spec)| spec.clone()).chain(alone).collect();
    let (few, all) = (groups(take, &wanted), groups(take, &[&wanted, mixes].concat()));
    let frames = take.tempo.frame(take.end, settings.rate);
    // On the buses that the mixes need, what the survey hears is kept for them.
    let keeps = few.len() == all.len() || Recording::is_worth_more_buses(&all, frames);
    let groups = if keeps { all } else { few };
    let buses = buses(take, studio, &groups, &settings.desk, None)?;
    let recording = || Recording::new(groups.clone(), wanted.len(), &buses, frames, studio);
    let mut recording = keeps.then(recording);

    let mut gauges =
        (0..wanted.len()).map(|mix| Gauge::new(Places::of(&groups, mix, |_| 1.0), settings));
    let mut programmes: Vec<Gauge> = gauges.by_ref().take(chosen.len()).collect();
    let mut click = click.and_then(|_| gauges.next());
    let mut count_in = count_in.and_then(|_| gauges.next());
    drop(gauges);
    let mut end = End::new(take, settings);
    play(buses, studio, settings.player_thread, |blocks, position| {
        for gauge in programmes.iter_mut().chain(&mut click).chain(&mut count_in) {
            gauge.hear(blocks, position);
        }
        if let Some(recording) = &mut recording {
            recording.push(blocks);
        }
        Ok(end.goes_on(blocks, position))
    })?;

    let mut measured: Vec<Measured> = chosen
        .into_iter()
        .zip(programmes)
        .map(|((mix, spec), gauge)| {
            let hops = gauge.loudness.hops();
            Measured { mix, spec, programme: gauge.programme(), hops }
        })
        .collect();
    measured.sort_by(|one, other| {
        let loudness = |measured: &Measured| measured.programme.loudness.0;
        let fuller = other.spec.parts.len().cmp(&one.spec.parts.len());
        fuller.then(loudness(other).total_cmp(&loudness(one)))
    });
    Ok(Survey {
        measured,
        click: click.map(Gauge::pulse),
        count_in: count_in.map(Gauge::pulse),
        tail: end.tail,
        recording,
    })
}

/// Hears where the take ends, and decides when the survey does.
struct End {
    tail: TailSurvey,
    extent: Extent,
    loudest: Block,
}

impl End {
    fn new(take: &Performance, settings: &MixSettings) -> End {
        let end = take.tempo.frame(take.end, settings.rate);
        let tail = TailSurvey::new(end, settings.rate);
        End { tail, extent: settings.extent, loudest: Block::silent() }
    }

    /// Hears blocks that begin at a frame of the take, and tells whether more can matter.
    fn goes_on(&mut self, blocks: &[Arc<Block>], position: u64) -> bool {
        self.hear(blocks, position);
        match self.extent {
            Extent::Whole => !self.tail.is_over(),
            Extent::Cut { to, .. } => position + (BLOCK as u64) < to.0 + LATENCY.0,
        }
    }

    /// Of all buses the loudest counts: what is still to be heard in any mix.
    fn hear(&mut self, blocks: &[Arc<Block>], position: u64) {
        if !self.tail.concerns(position) {
            return;
        }
        let Block { left, right, .. } = &mut self.loudest;
        left.fill(0.0);
        right.fill(0.0);
        for block in blocks {
            for (kept, samples) in [(&mut *left, &block.left), (&mut *right, &block.right)] {
                for (kept, sample) in kept.iter_mut().zip(samples) {
                    *kept = kept.max(sample.abs());
                }
            }
        }
        self.tail.add(position, self.loudest.channels());
    }
}

/// Loudness and true peak of one sum.
struct Gauge {
    places: Places,
    extent: Extent,
    /// The block at hand, added up.
    sum: Block,
    loudness: LoudnessMeter,
    true_peak: TruePeakMeter,
}

impl Gauge {
    fn new(places: Places, settings: &MixSettings) -> Gauge {
        Gauge {
            places,
            extent: settings.extent,
            sum: Block::silent(),
            loudness: LoudnessMeter::new(settings.rate),
            true_peak: TruePeakMeter::new(),
        }
    }

    /// Hears the next block of every bus, which begin at a frame of the take.
    fn hear(&mut self, blocks: &[Arc<Block>], position: u64) {
        let Gauge { places, extent, sum, loudness, true_peak } = self;
        places.add_up_players(blocks, sum);
        places.add_pulses(blocks, sum);
        let range = match extent {
            Extent::Whole => 0..BLOCK,
            Extent::Cut { from, to } => overlap(position, from.0, to.0),
        };
        let (left, right) = (&sum.left[range.clone()], &sum.right[range]);
        loudness.add(left, right);
        true_peak.add(left, right);
    }

    fn programme(mut self) -> Programme {
        Programme { loudness: self.loudness.integrated(), true_peak: self.true_peak.finish() }
    }

    fn pulse(mut self) -> Pulse {
        Pulse { loudest: self.loudness.loudest_moment(), true_peak: self.true_peak.finish() }
    }
}

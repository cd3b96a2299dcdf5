//! The first time through a take: how loud it is before any gain, and where it ends.

use std::collections::BTreeSet;

use super::buses::{Block, Places, buses, groups};
use super::error::MixError;
use super::level::{Programme, Pulse};
use super::limiter::LATENCY;
use super::meter::{LoudnessMeter, TruePeakMeter};
use super::playback::{Listener, overlap, play};
use super::recording::Recording;
use super::source::Studio;
use super::spec::{Extent, LevelRule, MixSettings, MixSpec};
use super::tail::TailSurvey;
use crate::feel::Performance;
use crate::part::Part;

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
    let chosen = candidates(mixes, settings.level);
    let pulse = |part| mixes.iter().any(|mix| mix.parts.contains(&part)).then_some(part);
    let (click, count_in) = (pulse(Part::Click), pulse(Part::CountIn));
    let alone = click.iter().chain(&count_in).map(|part| MixSpec::of(&[*part]));
    let wanted: Vec<MixSpec> = chosen.iter().map(|(_, spec)| spec.clone()).chain(alone).collect();
    // Where the mixes need no other buses than the survey, what it hears is kept for them.
    let (few, all) = (groups(take, &wanted), groups(take, &[&wanted, mixes].concat()));
    let mut recording = (few.len() == all.len()).then(|| Recording::new(all, wanted.len()));
    let mut buses = buses(take, studio, &few, &settings.desk)?;

    let mut gauges =
        (0..wanted.len()).map(|mix| Gauge::new(Places::of(&few, mix, |_| 1.0), settings));
    let mut programmes: Vec<Gauge> = gauges.by_ref().take(chosen.len()).collect();
    let mut click = click.and_then(|_| gauges.next());
    let mut count_in = count_in.and_then(|_| gauges.next());
    drop(gauges);
    let mut tail = TailListener::new(take, settings);
    let mut listeners: Vec<&mut dyn Listener> = vec![&mut tail];
    for gauge in programmes.iter_mut().chain(&mut click).chain(&mut count_in) {
        listeners.push(gauge);
    }
    play(&mut buses, &mut listeners, settings.spread, usize::MAX, |heard| match &mut recording {
        Some(recording) => recording.push(heard, studio.spare_memory()),
        None => heard,
    })?;

    let mut measured: Vec<Measured> = chosen
        .into_iter()
        .zip(programmes)
        .map(|((mix, spec), gauge)| Measured {
            mix,
            players: spec.parts.len(),
            programme: gauge.programme(),
        })
        .collect();
    measured.sort_by(|one, other| {
        let loudness = |measured: &Measured| measured.programme.loudness.0;
        let fuller = other.players.cmp(&one.players);
        fuller.then(loudness(other).total_cmp(&loudness(one)))
    });
    Ok(Survey {
        measured,
        click: click.map(Gauge::pulse),
        count_in: count_in.map(Gauge::pulse),
        tail: tail.tail,
        recording,
    })
}

/// Hears where the take ends, and decides when the survey does.
struct TailListener {
    tail: TailSurvey,
    extent: Extent,
    loudest: Block,
}

impl TailListener {
    fn new(take: &Performance, settings: &MixSettings) -> TailListener {
        let end = take.tempo.frame(take.end, settings.rate);
        let tail = TailSurvey::new(end, settings.rate);
        TailListener { tail, extent: settings.extent, loudest: Block::silent() }
    }
}

impl Listener for TailListener {
    /// Of all buses the loudest counts: what is still to be heard in any mix.
    fn hear(&mut self, blocks: &[Block], position: u64) -> Result<(), MixError> {
        if !self.tail.concerns(position) {
            return Ok(());
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
        Ok(())
    }

    fn wants_more(&self, position: u64) -> bool {
        match self.extent {
            Extent::Whole => !self.tail.is_over(),
            Extent::Cut { to, .. } => position < to.0 + LATENCY.0,
        }
    }
}

/// Loudness and true peak of one sum.
struct Gauge {
    places: Places,
    extent: Extent,
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

    fn programme(mut self) -> Programme {
        Programme { loudness: self.loudness.integrated(), true_peak: self.true_peak.finish() }
    }

    fn pulse(mut self) -> Pulse {
        Pulse { loudest: self.loudness.loudest_moment(), true_peak: self.true_peak.finish() }
    }
}

impl Listener for Gauge {
    fn hear(&mut self, blocks: &[Block], position: u64) -> Result<(), MixError> {
        let heard = match self.extent {
            Extent::Whole => 0..self.sum.left.len(),
            Extent::Cut { from, to } => overlap(position, from.0, to.0),
        };
        self.sum.clear();
        self.places.add_players(blocks, &mut self.sum);
        self.places.add_pulses(blocks, &mut self.sum);
        let (left, right) = (&self.sum.left[heard.clone()], &self.sum.right[heard]);
        self.loudness.add(left, right);
        self.true_peak.add(left, right);
        Ok(())
    }

    fn wants_more(&self, _position: u64) -> bool {
        false
    }
}

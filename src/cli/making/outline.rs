//! What is to be made in every set of a course, in outline: all lessons are planned once before
//! anything is made, so that everything that is wrong is told at the start, and the work can be
//! cut into shares.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::cli::failure::Failure;
use crate::cli::job::{Job, Set};
use crate::page::PAGE;
use crate::performance::Instrument;
use crate::plan::{NotesPlan, Plan, PlanError, SoundPlan, share};
use crate::render::Work;
use crate::units::{Frames, SampleRate};

/// Plans of so many takes are kept until they are made; those of a larger course are made again
/// when their turn comes. A take of three minutes is some 200 KB of notes and bars.
const KEPT_TAKES: usize = 256;

/// A set in outline.
pub(super) struct Outline {
    /// What had to give way, in words for the teacher.
    pub(super) warnings: Vec<String>,
    /// The instruments that its takes need.
    pub(super) instruments: Vec<Instrument>,
    /// The takes that are to be made, by their places in the plan.
    pub(super) takes: Vec<TakeOutline>,
    /// What is made of the whole set, each with about how many bytes it will have where it is
    /// large: the practice page, and sheets of notes and the archive where they are asked for. Not
    /// by a share.
    pub(super) of_set: Vec<(String, u64)>,
    /// The plan itself, where there is room for it.
    pub(super) plan: Option<Plan>,
}

/// A take in outline.
pub(super) struct TakeOutline {
    place: usize,
    /// Unique in the course.
    name: String,
    cost: u64,
    /// How long it is without what rings after its end.
    pub(super) frames: Frames,
    /// Its sound files, each with about how many bytes it will have.
    pub(super) sounds: Vec<(String, u64)>,
    /// Its small files.
    pub(super) small: Vec<String>,
}

/// Plans all sets; which takes of theirs are to be made depends on the share.
pub(super) fn of(job: &Job) -> Result<Vec<Outline>, Failure> {
    let room = KEPT_TAKES / job.sets.len().max(1);
    let outlines: Vec<Result<Outline, PlanError>> =
        job.sets.par_iter().map(|set| Outline::of(set, room)).collect();
    let mut whole = Vec::new();
    let mut failures = Vec::new();
    for outline in outlines {
        match outline {
            Ok(outline) => whole.push(outline),
            Err(error) => failures.push(Failure::of_plan(&error)),
        }
    }
    Failure::together(failures)?;
    if let Work::Share(shard) = job.work {
        let pieces: Vec<(usize, &TakeOutline)> = whole
            .iter()
            .enumerate()
            .flat_map(|(set, outline)| outline.takes.iter().map(move |take| (set, take)))
            .collect();
        let mine = share(&pieces, shard, |(_, take)| take.cost, |(_, take)| &take.name);
        let mine: Vec<(usize, usize)> =
            mine.into_iter().map(|piece| (pieces[piece].0, pieces[piece].1.place)).collect();
        for (set, outline) in whole.iter_mut().enumerate() {
            outline.of_set.clear();
            outline.takes.retain(|take| mine.binary_search(&(set, take.place)).is_ok());
        }
    }
    Ok(whole)
}

impl Outline {
    fn of(set: &Set, room: usize) -> Result<Outline, PlanError> {
        let plan = set.plan()?;
        let name = set.name.as_deref().unwrap_or_default();
        let takes = plan.takes.iter().enumerate().map(|(place, take)| {
            let frames = take.frames(set.lesson.rate);
            let sound = |sound: &SoundPlan| {
                (sound.path.clone(), sound.format.estimated_bytes(frames, set.lesson.rate))
            };
            TakeOutline {
                place,
                name: format!("{name}/{}", take.name),
                cost: take.cost(),
                frames,
                sounds: take.sounds.iter().map(sound).collect(),
                small: std::iter::once(&take.midi).chain(&take.bar_times).cloned().collect(),
            }
        });
        let takes: Vec<TakeOutline> = takes.collect();
        // Sounds are not compressed in it.
        let sounds = takes.iter().flat_map(|take| &take.sounds).map(|(_, bytes)| bytes).sum();
        let archive = plan.archive.iter().map(|path| (path.clone(), sounds));
        let of_sheet = |sheet: &NotesPlan| [sheet.path.clone(), sheet.picture()];
        let handouts = plan.handouts.iter().map(|handout| handout.path.clone());
        let sheets = plan.notes.iter().flat_map(of_sheet).chain(handouts).map(|path| (path, 0));
        Ok(Outline {
            warnings: plan.warnings.clone(),
            instruments: plan.instruments(),
            takes,
            of_set: std::iter::once((PAGE.to_owned(), 0)).chain(sheets).chain(archive).collect(),
            plan: (plan.takes.len() <= room).then_some(plan),
        })
    }

    /// How many files are to be made.
    pub(super) fn files(&self) -> usize {
        let of_takes = self.takes.iter().map(|take| take.sounds.len() + take.small.len());
        of_takes.sum::<usize>() + self.of_set.len()
    }

    /// How long every sound file is, in seconds.
    pub(super) fn lengths(&self, rate: SampleRate) -> BTreeMap<String, f64> {
        let of_take = |take: &TakeOutline| {
            let seconds = take.frames.seconds(rate);
            let sounds = take.sounds.iter().map(|(path, _)| (path.clone(), seconds));
            sounds.collect::<Vec<(String, f64)>>()
        };
        self.takes.iter().flat_map(of_take).collect()
    }

    /// The takes by their places, the dearest first: so that no thread is left alone with a long
    /// one at the end.
    pub(super) fn dearest_first(&self) -> Vec<usize> {
        let mut takes: Vec<&TakeOutline> = self.takes.iter().collect();
        takes.sort_by_key(|take| std::cmp::Reverse(take.cost));
        takes.into_iter().map(|take| take.place).collect()
    }
}

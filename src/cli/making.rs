//! Making sets: the way that `render`, `collect` and `quick` share, from a job to files.

mod fonts;
mod outline;
mod plan_table;
mod progress;

use std::collections::BTreeMap;

use super::failure::Failure;
use super::interrupt::Interrupt;
use super::job::{Job, Set};
use super::report::Report;
use super::request::{Settings, Telling};
use super::sounds;
use crate::deliver::Quota;
use crate::performance::Instrument;
use crate::plan::{Code, Plan, PlanError};
use crate::render::{CoursePage, Planned, Render, RenderError, Work, render};
use crate::sound::StoreBudget;
use fonts::{Fonts, Wanted};
use outline::Outline;
use progress::Reporter;

/// What making takes, and what may be kept from one job to the next: threads, and open SoundFonts
/// with their notes.
pub(super) struct Maker {
    pool: rayon::ThreadPool,
    fonts: Fonts,
    settings: Settings,
    /// Whether it soon makes the same again, a little changed: whoever waits for that waits for
    /// the first file and not for the last.
    repeats: bool,
}

impl Maker {
    /// Starts the threads.
    pub(super) fn open(settings: &Settings, repeats: bool) -> Result<Maker, Failure> {
        // None is one for each processor.
        let threads = settings.threads.map_or(0, |threads| threads.get().into());
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .map_err(|error| Failure::work(format!("no threads can be started: {error}")))?;
        Ok(Maker { pool, fonts: Fonts::default(), settings: settings.clone(), repeats })
    }

    /// Makes a job, or prints what would be made where only that was asked for.
    pub(super) fn make(&mut self, job: &Job, interrupt: &Interrupt) -> Result<(), Failure> {
        let Maker { pool, fonts, settings, repeats } = self;
        pool.install(|| {
            let outlines = outline::of(job)?;
            note_warnings(job, &outlines, settings.telling)?;
            if settings.only_plan {
                return plan_table::print(job, &outlines, settings.telling);
            }
            make(job, &outlines, fonts, settings, *repeats, interrupt)
        })
    }
}

fn note_warnings(job: &Job, outlines: &[Outline], telling: Telling) -> Result<(), Failure> {
    for (set, outline) in job.sets.iter().zip(outlines) {
        for warning in set.lesson.warnings.iter().chain(&outline.warnings) {
            progress::note(telling, set.name.as_deref(), warning)?;
        }
    }
    Ok(())
}

fn make(
    job: &Job,
    outlines: &[Outline],
    fonts: &mut Fonts,
    settings: &Settings,
    repeats: bool,
    interrupt: &Interrupt,
) -> Result<(), Failure> {
    let Job { sets, course, work } = job;
    let wanted = fonts.ask_for(sets.iter().zip(outlines).map(|(set, outline)| {
        (set.sounds.clone(), set.lesson.rate, outline.instruments.as_slice())
    }))?;
    let fonts = &*fonts;
    course.iter().try_for_each(CoursePage::may_be_made).map_err(work_failed)?;
    let files = outlines.iter().map(Outline::files).sum::<usize>() + usize::from(course.is_some());
    let reporter = Reporter::new(files, settings.telling);
    let budget = budget(settings, outlines.iter().map(|outline| outline.takes.len()).sum());
    let open: Vec<OpenSet<'_>> = sets
        .iter()
        .zip(outlines)
        .zip(wanted)
        .map(|((set, outline), wanted)| {
            OpenSet::new(set, outline, fonts, wanted, budget, &reporter)
        })
        .collect();
    let mut renders: Vec<Render<'_>> = open.iter().map(|set| set.render(*work)).collect();
    if repeats {
        renders.iter_mut().for_each(|render| render.takes.reverse());
    }
    let all_sounded = || {
        // Whoever makes the same again plays them again.
        if !repeats {
            fonts.close();
        }
    };
    let outcome = interrupt.while_writing(|stop| {
        let results = render(&renders, stop, all_sounded);
        let whole = results.iter().all(Result::is_ok);
        let course = course.as_ref().filter(|_| whole);
        let progress = reporter.of_set(None, BTreeMap::new());
        let page = course.map_or(Ok(()), |course| course.make(&progress));
        (results, page)
    });
    let is_whole = |(results, page): &(Vec<_>, Result<_, _>)| {
        page.is_ok() && results.iter().all(Result::is_ok)
    };
    let printed = reporter.finish(sets, *work, outcome.as_ref().is_ok_and(is_whole));
    let (results, page) = outcome?;
    let of_sets = open.iter().zip(results);
    let of_sets = of_sets.filter_map(|(set, result)| Some(set.failure(result.err()?)));
    let others = page.map_err(work_failed).err().into_iter().chain(printed.err());
    Failure::together(of_sets.chain(others))
}

fn work_failed(error: RenderError) -> Failure {
    Failure::work(Report::of(&error))
}

/// What one set takes to be made.
struct OpenSet<'a> {
    set: &'a Set,
    outline: &'a Outline,
    instruments: BTreeMap<Instrument, [u8; 32]>,
    plan: Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a>,
    whole: Option<Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a>>,
    sounds: Box<crate::render::SoundSource<'a>>,
    progress: progress::SetReporter<'a>,
}

impl<'a> OpenSet<'a> {
    fn new(
        set: &'a Set,
        outline: &'a Outline,
        fonts: &'a Fonts,
        wanted: Wanted,
        budget: StoreBudget,
        reporter: &'a Reporter,
    ) -> OpenSet<'a> {
        let leaves_out = set.tracks.len() < set.lesson.tracks.len();
        let whole = leaves_out.then(|| -> Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a> {
            Box::new(|| Plan::of(&set.lesson, &set.library, |_| true))
        });
        let lengths = outline.lengths(set.lesson.rate);
        OpenSet {
            set,
            outline,
            instruments: fonts.hashes(wanted),
            plan: Box::new(|| set.plan()),
            whole,
            sounds: Box::new(move || fonts.sounds(wanted, budget)),
            progress: reporter.of_set(set.name.as_deref(), lengths),
        }
    }

    fn render(&self, work: Work) -> Render<'_> {
        Render {
            lesson: &self.set.lesson,
            plan: match &self.outline.plan {
                Some(plan) => Planned::AtHand(plan),
                None => Planned::InTurn(&*self.plan),
            },
            whole: self.whole.as_deref().map(|source| source as _),
            takes: self.outline.dearest_first(),
            sounds: &*self.sounds,
            instruments: &self.instruments,
            code: Code::THIS,
            prune: self.set.prune,
            work,
            folder: self.set.folder.clone(),
            quota: Quota::default(),
            progress: &self.progress,
        }
    }

    fn failure(&self, error: RenderError) -> Failure {
        match error {
            RenderError::Sounds(error) => sounds::failure(&self.set.sounds, &error),
            RenderError::Plan(error) => Failure::of_plan(&error),
            error => work_failed(error),
        }
    }
}

/// How much memory kept notes may have. In a single take few notes come again and again, and a track
/// of an hour should need about as much memory as one of three minutes.
fn budget(settings: &Settings, takes: usize) -> StoreBudget {
    const OF_ONE_TAKE: StoreBudget = StoreBudget(48 << 20);
    match settings.store {
        Some(budget) => budget,
        None if takes == 1 => OF_ONE_TAKE,
        None => StoreBudget::default(),
    }
}

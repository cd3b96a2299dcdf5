//! Making sets: the way that `render`, `collect` and `quick` share.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use miette::miette;

use super::args::{Bits, Making};
use super::fonts::Fonts;
use super::outline::{self, Outline};
use super::sounds::SoundSource;
use super::{Failure, overrides, plan_table, progress, sounds};
use crate::codec::wav::SampleFormat;
use crate::deliver::Quota;
use crate::lesson::{Lesson, Track};
use crate::part::Instrument;
use crate::plan::{Code, Plan, PlanError};
use crate::render::{CoursePage, Planned, Render, RenderError, Work, render};
use crate::sound::StoreBudget;
use crate::style::Library;

/// Sets that are to be made, and the page above them where they are a course.
pub(super) struct Orders {
    pub(super) sets: Vec<Order>,
    pub(super) course: Option<CoursePage>,
}

/// A set that is to be made, and where.
pub(super) struct Order {
    pub(super) lesson: Lesson,
    pub(super) library: Library,
    /// Indices of the tracks that are wanted.
    pub(super) only: Vec<usize>,
    /// Whether what is no longer asked for is removed.
    pub(super) prune: bool,
    /// Where the set goes.
    pub(super) folder: PathBuf,
    /// What it is called in a course.
    pub(super) name: Option<String>,
    /// The folder that the lesson's paths count from.
    pub(super) beside: PathBuf,
}

impl Order {
    /// The same plan every time.
    pub(super) fn plan(&self) -> Result<Plan, PlanError> {
        let wanted = |track: &Track| self.only.contains(&(track.number - 1));
        Plan::of(&self.lesson, &self.library, wanted)
    }

    /// What it is played with.
    pub(super) fn soundfont(&self, options: &Making) -> SoundSource {
        let of_lesson = self.lesson.soundfont.as_ref().map(|path| self.beside.join(path));
        sounds::choose(options.soundfont.as_deref(), of_lesson)
    }

    /// Puts what the command line says in place of what the lesson says.
    fn heed(&mut self, options: &Making) -> Result<(), Failure> {
        overrides::formats(&mut self.lesson, &options.format)?;
        self.lesson.bar_times |= options.bar_times;
        self.lesson.zip |= options.zip;
        if let Some(bits) = options.bits {
            self.lesson.samples = match bits {
                Bits::Sixteen => SampleFormat::Int16,
                Bits::TwentyFour => SampleFormat::Int24,
                Bits::Float => SampleFormat::Float32,
            };
        }
        Ok(())
    }
}

/// Makes orders.
pub(super) fn make(orders: Orders, options: &Making, work: Work) -> Result<(), Failure> {
    Workshop::open(options)?.make(orders, options, work)
}

/// What making takes, and what may be kept from one round of it to the next: threads, and open
/// SoundFonts with their notes.
pub(super) struct Workshop {
    pool: rayon::ThreadPool,
    fonts: Fonts,
    stop: Option<Arc<AtomicBool>>,
}

impl Workshop {
    /// Starts the threads.
    pub(super) fn open(options: &Making) -> Result<Workshop, Failure> {
        let jobs = usize::from(options.jobs.unwrap_or(0));
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(jobs)
            .build()
            .map_err(|error| Failure::work(miette!("no threads can be started: {error}")))?;
        Ok(Workshop { pool, fonts: Fonts::default(), stop: None })
    }

    /// Stops its work when a flag is set, in place of stopping it on Ctrl-C.
    pub(super) fn stopped_by(self, flag: &Arc<AtomicBool>) -> Workshop {
        Workshop { stop: Some(Arc::clone(flag)), ..self }
    }

    /// Makes orders.
    pub(super) fn make(
        &mut self,
        mut orders: Orders,
        options: &Making,
        work: Work,
    ) -> Result<(), Failure> {
        for order in &mut orders.sets {
            order.heed(options)?;
        }
        if let Work::Share(_) = work {
            // It tells of whole sets.
            orders.course = None;
        }
        let (fonts, stop) = (&mut self.fonts, self.stop.as_ref());
        self.pool.install(|| make_in_pool(&orders, options, work, fonts, stop))
    }
}

fn make_in_pool(
    orders: &Orders,
    options: &Making,
    work: Work,
    fonts: &mut Fonts,
    stop: Option<&Arc<AtomicBool>>,
) -> Result<(), Failure> {
    let Orders { sets: orders, course } = orders;
    let outlines = outline::of(orders, work)?;
    let told = orders.iter().zip(&outlines).filter(|_| !options.quiet);
    for (order, outline) in told {
        for warning in order.lesson.warnings.iter().chain(&outline.warnings) {
            match &order.name {
                Some(name) => eprintln!("note: {name}: {warning}"),
                None => eprintln!("note: {warning}"),
            }
        }
    }
    if options.plan {
        return plan_table::print(orders, &outlines, course.is_some(), options.json);
    }
    fonts.ask_for(orders.iter().zip(&outlines).map(|(order, outline)| {
        (order.soundfont(options), order.lesson.rate, outline.instruments.as_slice())
    }))?;
    let fonts = &*fonts;
    course.iter().try_for_each(CoursePage::may_be_made).map_err(Failure::work)?;
    let files = outlines.iter().map(Outline::files).sum::<usize>() + usize::from(course.is_some());
    let watcher = progress::Watcher::new(files, options);
    let budget = budget(options, outlines.iter().map(|outline| outline.takes.len()).sum());
    let sets: Vec<SetInHand<'_>> = orders
        .iter()
        .zip(&outlines)
        .map(|(order, outline)| SetInHand::new(order, outline, options, fonts, budget, &watcher))
        .collect();
    let mut renders: Vec<Render<'_>> = sets.iter().map(|set| set.render(work)).collect();
    let watches = stop.is_some();
    if watches {
        // Whoever watches waits for the first file and not for the last.
        renders.iter_mut().for_each(|render| render.takes.reverse());
    }
    // Not before: until now Ctrl-C may end the program where it stands.
    let stop = stop.map_or_else(stop_on_interrupt, |flag| Ok(Arc::clone(flag)))?;
    let results = render(&renders, &stop, || {
        // Whoever watches plays them again soon.
        if !watches {
            fonts.close();
        }
    });
    let whole = results.iter().all(Result::is_ok);
    let course = course.as_ref().filter(|_| whole);
    let page = course.map_or(Ok(()), |course| course.make(&watcher.of_set(None, BTreeMap::new())));
    watcher.finish(orders, work, whole && page.is_ok());
    let failures: Vec<Failure> = sets
        .iter()
        .zip(results)
        .filter_map(|(set, result)| Some(set.failure(result.err()?)))
        .collect();
    page.map_err(Failure::work)?;
    if failures.is_empty() { Ok(()) } else { Err(Failure::together(failures)) }
}

/// What one set takes to be made.
struct SetInHand<'a> {
    order: &'a Order,
    outline: &'a Outline,
    source: SoundSource,
    instruments: BTreeMap<Instrument, [u8; 32]>,
    plan: Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a>,
    whole: Option<Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a>>,
    sounds: Box<crate::render::SoundSource<'a>>,
    progress: progress::OfSet<'a>,
}

impl<'a> SetInHand<'a> {
    fn new(
        order: &'a Order,
        outline: &'a Outline,
        options: &Making,
        fonts: &'a Fonts,
        budget: StoreBudget,
        watcher: &'a progress::Watcher,
    ) -> SetInHand<'a> {
        let source = order.soundfont(options);
        let instruments = fonts.hashes(&source);
        let leaves_out = order.only.len() < order.lesson.tracks.len();
        let whole = leaves_out.then(|| -> Box<dyn Fn() -> Result<Plan, PlanError> + Sync + 'a> {
            Box::new(|| Plan::of(&order.lesson, &order.library, |_| true))
        });
        let (asked, rate) = (source.clone(), order.lesson.rate);
        let lengths = outline.lengths(rate);
        SetInHand {
            order,
            outline,
            source,
            instruments,
            plan: Box::new(|| order.plan()),
            whole,
            sounds: Box::new(move || fonts.sounds(&asked, rate, budget)),
            progress: watcher.of_set(order.name.as_deref(), lengths),
        }
    }

    fn render(&self, work: Work) -> Render<'_> {
        Render {
            lesson: &self.order.lesson,
            plan: match &self.outline.plan {
                Some(plan) => Planned::AtHand(plan),
                None => Planned::InTurn(&*self.plan),
            },
            whole: self.whole.as_deref().map(|source| source as _),
            takes: self.outline.dearest_first(),
            sounds: &*self.sounds,
            instruments: &self.instruments,
            code: Code::THIS,
            prune: self.order.prune,
            work,
            folder: self.order.folder.clone(),
            quota: Quota::default(),
            progress: &self.progress,
        }
    }

    fn failure(&self, error: RenderError) -> Failure {
        match error {
            RenderError::Sounds(error) => sounds::failure(&self.source, &error),
            RenderError::Plan(error) => Failure::input(error),
            error => Failure::work(error),
        }
    }
}

/// How much memory kept notes may have. In a single take few notes come again and again, and a track
/// of an hour should need about as much memory as one of three minutes.
fn budget(options: &Making, takes: usize) -> StoreBudget {
    const OF_ONE_TAKE: StoreBudget = StoreBudget(48 << 20);
    match options.store {
        Some(megabytes) => {
            let megabytes = usize::try_from(megabytes).unwrap_or(usize::MAX);
            StoreBudget(megabytes.saturating_mul(1 << 20))
        }
        None if takes == 1 => OF_ONE_TAKE,
        None => StoreBudget::default(),
    }
}

/// A flag that Ctrl-C sets: the work stops after the block in hand, and nothing half-made is
/// left.
fn stop_on_interrupt() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed))
        .map_err(|error| Failure::work(miette!("Ctrl-C cannot be watched for: {error}")))?;
    Ok(stop)
}

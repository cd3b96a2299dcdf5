//! Making a set: the way that `render` and `quick` share.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use miette::miette;

use super::args::{Bits, Making};
use super::{Failure, overrides, plan_table, progress, sounds};
use crate::codec::wav::SampleFormat;
use crate::lesson::Lesson;
use crate::plan::{Plan, PlanError};
use crate::render::{Render, RenderError};
use crate::sound::{Sounds, StoreBudget};
use crate::style::Library;

/// What is to be made, and where.
pub(super) struct Order {
    pub(super) lesson: Lesson,
    pub(super) library: Library,
    /// Indices of the tracks that are wanted.
    pub(super) only: Vec<usize>,
    /// Whether what is no longer asked for is removed.
    pub(super) prune: bool,
    /// Where the set goes, unless the command line says otherwise.
    pub(super) folder: PathBuf,
    /// The folder that the lesson's paths count from.
    pub(super) beside: PathBuf,
}

/// Makes an order.
pub(super) fn make(mut order: Order, options: &Making) -> Result<(), Failure> {
    if let Some(bits) = options.bits {
        order.lesson.samples = match bits {
            Bits::Sixteen => SampleFormat::Int16,
            Bits::TwentyFour => SampleFormat::Int24,
            Bits::Float => SampleFormat::Float32,
        };
    }
    overrides::formats(&mut order.lesson, &options.format)?;
    order.lesson.bar_times |= options.bar_times;
    order.lesson.zip |= options.zip;
    let jobs = usize::from(options.jobs.unwrap_or(0));
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs)
        .build()
        .map_err(|error| Failure::work(miette!("no threads can be started: {error}")))?;
    pool.install(|| make_in_pool(&order, options))
}

fn make_in_pool(order: &Order, options: &Making) -> Result<(), Failure> {
    let lesson = &order.lesson;
    let wanted = |track: &crate::lesson::Track| order.only.contains(&(track.number - 1));
    let plan = Plan::of(lesson, &order.library, wanted).map_err(plan_failure)?;
    for warning in lesson.warnings.iter().chain(&plan.warnings) {
        eprintln!("note: {warning}");
    }
    let root = options.out.as_deref().unwrap_or(&order.folder);
    if options.plan {
        return plan_table::print(lesson, &plan, root, options.json);
    }
    let source = sounds::choose(
        options.soundfont.as_deref(),
        lesson.soundfont.as_ref().map(|path| order.beside.join(path)),
    );
    let (font, hash) = sounds::open(&source)?;
    let sounds = Sounds::new(font, &plan.instruments(), lesson.rate, StoreBudget::default())
        .map_err(|error| sounds::failure(&source, &error))?;
    let stop = stop_on_interrupt()?;
    let render = Render {
        lesson,
        plan: &plan,
        sounds: &sounds,
        soundfont: &hash,
        prune: order.prune,
        stop: stop.as_ref(),
    };
    let watcher = progress::Watcher::new(&plan, lesson.rate, options);
    let result = render.into_folder(root, &watcher);
    watcher.finish(root);
    result.map_err(render_failure)
}

fn plan_failure(error: PlanError) -> Failure {
    Failure::input(error)
}

fn render_failure(error: RenderError) -> Failure {
    Failure::work(error)
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

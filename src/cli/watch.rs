//! `countoff render --watch`: what changed is made again whenever the lesson, or something that it
//! is made of, is saved.
//!
//! A round reads the lesson and makes what is not as it should be. Only files that were read are
//! heeded, so that the set itself never begins a round.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use miette::miette;
use notify::{ErrorKind, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use serde::Serialize;

use super::args::Render;
use super::making::{Orders, Workshop};
use super::sounds::SoundSource;
use super::sources::Sources;
use super::{Failure, input, output, print_failure, render};
use crate::render::Work;

/// A save is over when nothing has happened for so long: editors empty, write and rename in steps
/// of a few milliseconds (our choice; it is part of what the teacher waits).
const QUIET: Duration = Duration::from_millis(80);

/// What other programs are told.
#[derive(Serialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
enum Event {
    /// All is made; the next save begins a round.
    Watching { files: usize },
    /// The round failed; the next save begins another.
    Failed { problems: Vec<String> },
}

/// Makes sets, and what changed in them, until Ctrl-C.
pub(super) fn run(options: &Render) -> Result<(), Failure> {
    if !options.choice.lesson.exists() {
        // A wrong name is told at once. A lesson that goes away later may come back.
        input::text(&options.choice.lesson)?;
    }
    let mut watch = Watch::begin(&options.choice.lesson)?;
    let mut workshop = Workshop::open(&options.making)?.stopped_by(&watch.signals.stop);
    loop {
        watch.begin_round();
        let orders = watch.read(options)?;
        let outcome = orders.and_then(|orders| workshop.make(orders, &options.making, Work::All));
        if watch.is_over() {
            return outcome;
        }
        // What failed because of a change is tried again; nobody need hear of it.
        if !watch.has_changed() {
            if let Err(failure) = outcome {
                tell_failure(&failure, options.making.json);
            }
            watch.tell(options);
            watch.wait();
        }
        if watch.is_over() {
            return Ok(());
        }
        watch.settle();
    }
}

fn tell_failure(failure: &Failure, json: bool) {
    print_failure(failure);
    if json {
        let problems = failure.reports().iter().map(ToString::to_string).collect();
        let _ = output::json(&Event::Failed { problems });
    }
}

/// The watch over what a lesson is made of.
struct Watch {
    signals: Signals,
    wake: Receiver<()>,
    watcher: RecommendedWatcher,
    heeded: Arc<Mutex<Heeded>>,
}

/// How other threads reach the one that works and waits.
#[derive(Clone)]
struct Signals {
    /// Ends the round.
    stop: Arc<AtomicBool>,
    /// Ends the watch.
    over: Arc<AtomicBool>,
    /// Ends the waiting.
    wake: SyncSender<()>,
}

impl Signals {
    fn change(&self) {
        self.stop.store(true, Ordering::SeqCst);
        // A full channel wakes whoever waits just as well.
        if let Err(TrySendError::Disconnected(())) = self.wake.try_send(()) {
            self.over.store(true, Ordering::SeqCst);
        }
    }

    fn end(&self) {
        self.over.store(true, Ordering::SeqCst);
        self.change();
    }
}

impl Watch {
    /// Begins a watch, over a lesson or a course.
    fn begin(lesson: &Path) -> Result<Watch, Failure> {
        let (sender, wake) = sync_channel(1);
        let signals = Signals { stop: Arc::default(), over: Arc::default(), wake: sender };
        let course = if lesson.is_dir() { lesson.canonicalize().ok() } else { None };
        let heeded = Arc::new(Mutex::new(Heeded { course, ..Heeded::default() }));
        let (on_change, on_interrupt) = (signals.clone(), signals.clone());
        let concerned = Arc::clone(&heeded);
        let watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            if event.is_ok_and(|event| lock(&concerned).takes(&event)) {
                on_change.change();
            }
        });
        let watcher = watcher.map_err(|error| cannot_watch(&error))?;
        ctrlc::set_handler(move || on_interrupt.end())
            .map_err(|error| Failure::work(miette!("Ctrl-C cannot be watched for: {error}")))?;
        Ok(Watch { signals, wake, watcher, heeded })
    }

    /// From here on a change ends the round.
    fn begin_round(&self) {
        self.signals.stop.store(false, Ordering::SeqCst);
        // Ctrl-C may have come just before.
        if self.is_over() {
            self.signals.stop.store(true, Ordering::SeqCst);
        }
        while self.wake.try_recv().is_ok() {}
    }

    fn is_over(&self) -> bool {
        self.signals.over.load(Ordering::SeqCst)
    }

    /// Whether something changed since the round began.
    fn has_changed(&self) -> bool {
        self.signals.stop.load(Ordering::SeqCst)
    }

    /// Waits for a change or Ctrl-C.
    fn wait(&self) {
        let _ = self.wake.recv();
    }

    /// Waits until a save is over.
    fn settle(&self) {
        while !self.is_over() && self.wake.recv_timeout(QUIET).is_ok() {}
    }

    /// Reads the lessons, and heeds what they are made of. Where that is more than before, they
    /// are read again: the rest may have changed before it was heeded. The outer failure is that
    /// of the watch, the inner that of the lessons.
    fn read(&mut self, options: &Render) -> Result<Result<Orders, Failure>, Failure> {
        loop {
            let sources = Sources::default();
            sources.note(&options.choice.lesson);
            let orders = render::orders(&options.choice, &options.making, options.prune, &sources);
            for order in orders.iter().flat_map(|orders| &orders.sets) {
                if let SoundSource::File(path) = order.soundfont(&options.making) {
                    sources.note(path);
                }
            }
            if !self.heed(&sources)? || self.is_over() {
                return Ok(orders);
            }
        }
    }

    /// Heeds these sources from now on. Tells whether there are new ones among them.
    fn heed(&mut self, sources: &Sources) -> Result<bool, Failure> {
        let (mut news, folders) = lock(&self.heeded).follow(sources.real_paths());
        for (folder, mode) in folders {
            match self.watcher.watch(&folder, mode) {
                Ok(()) => news |= lock(&self.heeded).watched.insert(folder),
                // It went away just now; the reading will tell.
                Err(error) if matches!(error.kind, ErrorKind::PathNotFound) => {}
                Err(error) => return Err(cannot_watch(&error)),
            }
        }
        Ok(news)
    }

    fn tell(&self, options: &Render) {
        let files = lock(&self.heeded).sources.len();
        if options.making.json {
            let _ = output::json(&Event::Watching { files });
        } else if !options.making.quiet {
            let lesson = options.choice.lesson.display();
            eprintln!("watching {lesson} and what it is made of; Ctrl-C ends the watch");
        }
    }
}

/// Which changes matter.
#[derive(Debug, Default)]
struct Heeded {
    /// Files, and folders of TOML files, by their real paths.
    sources: BTreeSet<PathBuf>,
    /// The folder of a course: lessons may come and go anywhere below it.
    course: Option<PathBuf>,
    /// Folders that the system reports on.
    watched: BTreeSet<PathBuf>,
}

impl Heeded {
    /// Puts sources in the place of the earlier ones. Gives whether there are new ones, and the
    /// folders that are yet to be watched: the whole folder of each file, since most editors save
    /// by putting another file in its place.
    fn follow(&mut self, sources: BTreeSet<PathBuf>) -> (bool, BTreeSet<(PathBuf, RecursiveMode)>) {
        let mut folders = BTreeSet::new();
        for source in &sources {
            let parent = source.ancestors().skip(1).find(|folder| folder.is_dir());
            folders.extend(parent.map(|folder| (folder.to_owned(), RecursiveMode::NonRecursive)));
            if source.is_dir() {
                folders.insert((source.clone(), RecursiveMode::NonRecursive));
            }
        }
        if let Some(course) = &self.course {
            folders.retain(|(folder, _)| !folder.starts_with(course));
            folders.extend(course.is_dir().then(|| (course.clone(), RecursiveMode::Recursive)));
        }
        folders.retain(|(folder, _)| !self.watched.contains(folder));
        let news = !sources.is_subset(&self.sources);
        self.sources = sources;
        (news, folders)
    }

    /// Whether an event is a change that matters. A folder that was removed or renamed is to be
    /// watched anew when it is back.
    fn takes(&mut self, event: &notify::Event) -> bool {
        if event.need_rescan() {
            return true;
        }
        if let EventKind::Access(_) = event.kind {
            return false;
        }
        for path in &event.paths {
            self.watched.retain(|folder| !folder.starts_with(path));
        }
        event.paths.iter().any(|path| self.concerns(path))
    }

    fn concerns(&self, path: &Path) -> bool {
        let lies_in = |folder: &PathBuf| path.parent() == Some(folder);
        let of_course = self.course.as_ref().is_some_and(|course| path.starts_with(course));
        self.sources.iter().any(|source| source.starts_with(path))
            || (is_toml(path) && (of_course || self.sources.iter().any(lies_in)))
    }
}

/// Whether a file may be a lesson or a style; hidden ones are marks that editors leave.
fn is_toml(path: &Path) -> bool {
    let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    !hidden && path.extension().is_some_and(|extension| extension == "toml")
}

fn lock(heeded: &Mutex<Heeded>) -> MutexGuard<'_, Heeded> {
    heeded.lock().unwrap_or_else(PoisonError::into_inner)
}

fn cannot_watch(error: &notify::Error) -> Failure {
    Failure::work(miette!(
        help = "without --watch the set is made once",
        "files cannot be watched: {error}"
    ))
}

//! `countoff render --watch`: what changed is made again whenever the lesson, or something that it
//! is made of, is saved.
//!
//! A round reads the lesson and makes what is not as it should be. Only files that were read are
//! watched, so that the set itself never begins a round.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use notify::{ErrorKind, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use serde::Serialize;

use super::failure::Failure;
use super::interrupt::Interrupt;
use super::report::Report;
use super::request::Telling;
use super::sources::Sources;
use super::{input, output};

/// A save is over when nothing has happened for so long: editors empty, write and rename in steps
/// of a few milliseconds (our choice; it is part of what the teacher waits).
const QUIET: Duration = Duration::from_millis(80);

/// What other programs are told: all is made, and the next save begins a round.
#[derive(Serialize)]
#[serde(tag = "event", rename = "watching")]
struct Watching {
    /// How many files are watched.
    files: usize,
}

/// Reads a job and makes it, again whenever what it was read from changes, until a signal ends the
/// program.
pub(super) fn run<Job>(
    lesson: &Path,
    telling: Telling,
    interrupt: &Interrupt,
    read: impl Fn(&Sources) -> Result<Job, Failure>,
    mut make: impl FnMut(&Job) -> Result<(), Failure>,
) -> Result<(), Failure> {
    if !lesson.exists() {
        // A wrong name is told at once. A lesson that goes away later may come back.
        input::text(lesson)?;
    }
    let mut watch = Watch::begin(lesson, interrupt)?;
    loop {
        watch.begin_round();
        let outcome = watch.read(lesson, &read)?.and_then(|job| make(&job));
        // What failed because of a change is tried again; nobody need hear of it.
        if !watch.has_changed() {
            match outcome {
                Err(failure) if telling == Telling::Json => output::json(&failure.entry())?,
                Err(failure) => output::failure(&failure, false),
                Ok(()) => {}
            }
            watch.tell(lesson, telling)?;
            watch.wait()?;
        } else if let Err(failure) = outcome
            && failure.is_stop()
        {
            return Err(failure);
        }
        watch.settle();
    }
}

/// The watch over what a lesson is made of.
struct Watch<'a> {
    /// Ends the round where something changes.
    interrupt: &'a Interrupt,
    /// Ends the waiting.
    wake: Receiver<()>,
    watcher: RecommendedWatcher,
    tracked: Arc<Mutex<Tracked>>,
}

impl Watch<'_> {
    /// Begins a watch, over a lesson or a course.
    fn begin<'a>(lesson: &Path, interrupt: &'a Interrupt) -> Result<Watch<'a>, Failure> {
        let (sender, wake): (SyncSender<()>, _) = sync_channel(1);
        let course = if lesson.is_dir() { lesson.canonicalize().ok() } else { None };
        let tracked = Arc::new(Mutex::new(Tracked { course, ..Tracked::default() }));
        let (on_change, concerned) = (interrupt.clone(), Arc::clone(&tracked));
        let watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            if event.is_ok_and(|event| lock(&concerned).takes(&event)) {
                on_change.stop_writing();
                // A full channel wakes whoever waits just as well.
                let _ = sender.try_send(());
            }
        });
        let watcher = watcher.map_err(|error| cannot_watch(&error))?;
        Ok(Watch { interrupt, wake, watcher, tracked })
    }

    /// From here on a change ends the round.
    fn begin_round(&self) {
        self.interrupt.go_on();
        while self.wake.try_recv().is_ok() {}
    }

    /// Whether something changed since the round began, or a signal came.
    fn has_changed(&self) -> bool {
        self.interrupt.is_stopped()
    }

    /// Waits for a change.
    fn wait(&self) -> Result<(), Failure> {
        self.wake.recv().map_err(|_| Failure::work("changes of files are no longer reported"))
    }

    /// Waits until a save is over.
    fn settle(&self) {
        while self.wake.recv_timeout(QUIET).is_ok() {}
    }

    /// Reads a job, and tracks what it is made of. Where that is more than before, it is read
    /// again: the rest may have changed before it was tracked. The outer failure is that of the
    /// watch, the inner that of the lessons.
    fn read<Job>(
        &mut self,
        lesson: &Path,
        read: impl Fn(&Sources) -> Result<Job, Failure>,
    ) -> Result<Result<Job, Failure>, Failure> {
        loop {
            let sources = Sources::default();
            sources.note(lesson);
            let job = read(&sources);
            if !self.track(&sources)? {
                return Ok(job);
            }
        }
    }

    /// Tracks these sources from now on. Says whether there are new ones among them.
    fn track(&mut self, sources: &Sources) -> Result<bool, Failure> {
        let (mut news, folders) = lock(&self.tracked).follow(sources.real_paths());
        for (folder, mode) in folders {
            match self.watcher.watch(&folder, mode) {
                Ok(()) => news |= lock(&self.tracked).watched.insert(folder),
                // It went away just now; the reading will tell.
                Err(error) if matches!(error.kind, ErrorKind::PathNotFound) => {}
                Err(error) => return Err(cannot_watch(&error)),
            }
        }
        Ok(news)
    }

    fn tell(&self, lesson: &Path, telling: Telling) -> Result<(), Failure> {
        match telling {
            Telling::Json => {
                let files = lock(&self.tracked).sources.len();
                output::json(&Watching { files })?;
            }
            Telling::Words => {
                let lesson = lesson.display();
                output::status(&format!(
                    "watching {lesson} and what it is made of; Ctrl-C ends the watch"
                ));
            }
            Telling::Nothing => {}
        }
        Ok(())
    }
}

/// Which changes matter.
#[derive(Debug, Default)]
struct Tracked {
    /// Files, and folders of TOML files, by their real paths.
    sources: BTreeSet<PathBuf>,
    /// The folder of a course: lessons may come and go anywhere below it.
    course: Option<PathBuf>,
    /// Folders that the system reports on.
    watched: BTreeSet<PathBuf>,
}

impl Tracked {
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

fn lock(tracked: &Mutex<Tracked>) -> MutexGuard<'_, Tracked> {
    tracked.lock().unwrap_or_else(PoisonError::into_inner)
}

fn cannot_watch(error: &notify::Error) -> Failure {
    let report = Report::new(format!("files cannot be watched: {error}"));
    Failure::work(report.help("without --watch the set is made once"))
}

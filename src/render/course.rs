//! Sets made one after the other, their takes side by side.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::sync::{Arc, Mutex};

use super::set::OpenSet;
use super::whole::WholeFile;
use super::{Render, RenderError, Work, lock};

/// How many files may be on their way to their queued. What they hold is the system's, not ours.
const ON_THEIR_WAY: usize = 16;

/// Makes sets, in their order. As many takes are in flight as there are threads in the pool, and
/// few more sets are open than takes are in flight: memory does not grow with the course. One more
/// thread waits for the disk, so that no other has to.
///
/// `stop` asks for the work to stop soon; every block of sound looks at it. `all_sounded` is called
/// when no more sound will be made: sheets and page of the last set need memory too.
///
/// # Errors
/// For each set the first thing that went wrong with it. The others are made all the same.
pub fn render(
    sets: &[Render<'_>],
    stop: &AtomicBool,
    all_sounded: impl FnOnce(),
) -> Vec<Result<(), RenderError>> {
    let queued: Vec<QueuedSet<'_>> = sets.iter().map(QueuedSet::new).collect();
    let queue: Vec<(&QueuedSet<'_>, Option<usize>)> =
        queued.iter().flat_map(QueuedSet::jobs).collect();
    let threads = rayon::current_num_threads();
    let unfinished = AtomicUsize::new(queue.len());
    let next = AtomicUsize::new(0);
    let complete = Mutex::new(Vec::new());
    let close_one = || lock(&complete).pop().map(|set: &QueuedSet<'_>| set.close(stop)).is_some();
    std::thread::scope(|scope| {
        let (whole, arriving) = sync_channel::<Arriving<'_, '_>>(ON_THEIR_WAY);
        let complete = &complete;
        scope.spawn(move || {
            for file in arriving {
                let set = file.of;
                if file.put() {
                    lock(complete).push(set);
                }
            }
        });
        rayon::broadcast(|_| {
            while let Some((set, take)) = queue.get(next.fetch_add(1, Ordering::Relaxed)) {
                let has_spare_threads = unfinished.load(Ordering::Relaxed) < threads;
                if set.work(*take, has_spare_threads, &whole, stop) {
                    lock(complete).push(set);
                }
                unfinished.fetch_sub(1, Ordering::Relaxed);
                while close_one() {}
            }
        });
    });
    all_sounded();
    while close_one() {}
    queued.into_iter().map(QueuedSet::outcome).collect()
}

/// A set in the queue of work.
struct QueuedSet<'a> {
    render: &'a Render<'a>,
    state: Mutex<State<'a>>,
    /// Takes that are not made and files that are not in their queued.
    left: AtomicUsize,
}

/// A file of a set, whole and on its way to its place.
struct Arriving<'p, 'a> {
    of: &'p QueuedSet<'a>,
    set: Arc<OpenSet<'a>>,
    file: WholeFile,
}

impl Arriving<'_, '_> {
    /// Puts it there, and whether its set is complete now.
    fn put(self) -> bool {
        self.set.put(self.file);
        drop(self.set);
        self.of.one_done()
    }
}

enum State<'a> {
    Waiting,
    Open(Arc<OpenSet<'a>>),
    Done(Result<(), RenderError>),
}

impl<'a> QueuedSet<'a> {
    fn new(render: &'a Render<'a>) -> QueuedSet<'a> {
        let mut queued =
            QueuedSet { render, state: Mutex::new(State::Waiting), left: AtomicUsize::new(0) };
        queued.left = AtomicUsize::new(queued.jobs().count());
        queued
    }

    /// One job a take. A set with no takes to be made is opened and closed; a share of nothing is
    /// no work at all.
    fn jobs(&self) -> impl Iterator<Item = (&QueuedSet<'a>, Option<usize>)> {
        let takes = &self.render.takes;
        let nothing = takes.is_empty() && !matches!(self.render.work, Work::Share(_));
        let takes = takes.iter().copied().map(Some).chain(nothing.then_some(None));
        takes.map(move |take| (self, take))
    }

    /// Makes a take, and whether the set is complete now.
    fn work<'p>(
        &'p self,
        take: Option<usize>,
        has_spare_threads: bool,
        whole: &SyncSender<Arriving<'p, 'a>>,
        stop: &AtomicBool,
    ) -> bool {
        let open = self.open();
        if let (Some(open), Some(take)) = (&open, take) {
            let hand_over = |file| {
                self.left.fetch_add(1, Ordering::AcqRel);
                let file = Arriving { of: self, set: Arc::clone(open), file };
                if let Err(unsent) = whole.send(file) {
                    // Not the last one of the set: its take is not done.
                    unsent.0.put();
                }
            };
            open.make(take, has_spare_threads, &hand_over, stop);
        }
        drop(open);
        self.one_done()
    }

    /// Whether it was the last one.
    fn one_done(&self) -> bool {
        self.left.fetch_sub(1, Ordering::AcqRel) == 1
    }

    /// The set, opened by the first thread that needs it; none where that failed.
    fn open(&self) -> Option<Arc<OpenSet<'a>>> {
        let mut state = lock(&self.state);
        if let State::Waiting = *state {
            *state = match OpenSet::open(self.render) {
                Ok(open) => State::Open(Arc::new(open)),
                Err(error) => State::Done(Err(error)),
            };
        }
        match &*state {
            State::Open(open) => Some(Arc::clone(open)),
            State::Waiting | State::Done(_) => None,
        }
    }

    fn close(&self, stop: &AtomicBool) {
        let mut state = lock(&self.state);
        if let State::Open(open) = &*state {
            let outcome = open.finish(stop);
            *state = State::Done(outcome);
        }
    }

    fn outcome(self) -> Result<(), RenderError> {
        match self.state.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner) {
            State::Done(outcome) => outcome,
            // Every job closes what it opened, so this is a share of nothing.
            State::Waiting | State::Open(_) => Ok(()),
        }
    }
}

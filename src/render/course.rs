//! Sets made one after the other, their takes side by side.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use super::set::OpenSet;
use super::{Render, RenderError, Work, lock};

/// Makes sets, in their order. As many takes are in flight as there are threads in the pool, and
/// no more sets are open than takes are in flight: memory does not grow with the course.
///
/// `stop` is set by whoever wants the work to stop soon.
///
/// # Errors
/// For each set the first thing that went wrong with it. The others are made all the same.
pub fn render(sets: &[Render<'_>], stop: &AtomicBool) -> Vec<Result<(), RenderError>> {
    let places: Vec<Place<'_>> = sets.iter().map(Place::new).collect();
    let queue: Vec<(&Place<'_>, Option<usize>)> = places.iter().flat_map(Place::jobs).collect();
    let spread = queue.len() < 2 * rayon::current_num_threads();
    let next = AtomicUsize::new(0);
    rayon::broadcast(|_| {
        while let Some((place, take)) = queue.get(next.fetch_add(1, Ordering::Relaxed)) {
            place.work(*take, spread, stop);
        }
    });
    places.into_iter().map(Place::outcome).collect()
}

/// A set's place in the work.
struct Place<'a> {
    render: &'a Render<'a>,
    state: Mutex<State<'a>>,
    /// Jobs that are not done yet; whoever does the last one closes the set.
    left: AtomicUsize,
}

enum State<'a> {
    Waiting,
    Open(Arc<OpenSet<'a>>),
    Done(Result<(), RenderError>),
}

impl<'a> Place<'a> {
    fn new(render: &'a Render<'a>) -> Place<'a> {
        let mut place =
            Place { render, state: Mutex::new(State::Waiting), left: AtomicUsize::new(0) };
        place.left = AtomicUsize::new(place.jobs().count());
        place
    }

    /// One job a take. A set with no takes to be made is opened and closed; a share of nothing is
    /// no work at all.
    fn jobs(&self) -> impl Iterator<Item = (&Place<'a>, Option<usize>)> {
        let takes = &self.render.takes;
        let nothing = takes.is_empty() && !matches!(self.render.work, Work::Share(_));
        let takes = takes.iter().copied().map(Some).chain(nothing.then_some(None));
        takes.map(move |take| (self, take))
    }

    fn work(&self, take: Option<usize>, spread: bool, stop: &AtomicBool) {
        let open = self.open();
        if let (Some(open), Some(take)) = (&open, take) {
            open.make(take, spread, stop);
        }
        drop(open);
        if self.left.fetch_sub(1, Ordering::AcqRel) == 1 {
            self.close(stop);
        }
    }

    /// The set, opened by whoever comes first; none where that failed.
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

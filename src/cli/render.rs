//! `countoff render` and `countoff collect`

use super::args::{Collect, Render};
use super::failure::Failure;
use super::interrupt::Interrupt;
use super::job::Job;
use super::making::Maker;
use super::request::Request;
use super::sources::Sources;
use super::watch;

/// Makes the set of a lesson, or those of a course.
pub(super) fn run(typed: Render, interrupt: &Interrupt) -> Result<(), Failure> {
    let request = Request::render(typed)?;
    let mut maker = Maker::open(&request.settings, request.watch)?;
    let read = |sources: &Sources| Job::read(&request, sources);
    let mut make = |job: &Job| maker.make(job, interrupt);
    if request.watch {
        watch::run(&request.lesson, request.settings.telling, interrupt, read, make)
    } else {
        make(&read(&Sources::default())?)
    }
}

/// Gathers what shares have made.
pub(super) fn collect(typed: Collect, interrupt: &Interrupt) -> Result<(), Failure> {
    let request = Request::collect(typed)?;
    let job = Job::read(&request, &Sources::default())?;
    Maker::open(&request.settings, false)?.make(&job, interrupt)
}

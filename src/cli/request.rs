//! What a command asks for: what was typed, checked as far as it can be without a lesson.

use std::num::NonZeroU16;
use std::path::PathBuf;

use super::args::{self, Choice, Making};
use super::changes::Changes;
use super::failure::Failure;
use crate::render::Work;
use crate::sound::StoreBudget;

/// The files of some lessons.
pub(super) struct Request {
    /// The lesson, or the folder of a course.
    pub(super) lesson: PathBuf,
    /// Lists of the tracks that are wanted, by name or number; all where there are none.
    pub(super) tracks: Vec<String>,
    pub(super) changes: Changes,
    /// The folder for the files, in place of one beside the lesson.
    pub(super) out: Option<PathBuf>,
    /// The SoundFont, in place of the lessons'.
    pub(super) soundfont: Option<PathBuf>,
    /// Whether what is no longer asked for is removed.
    pub(super) prune: bool,
    pub(super) work: Work,
    /// Whether it stays, and does it again whenever something changes.
    pub(super) watch: bool,
    pub(super) settings: Settings,
}

/// How files are made, whichever they are.
#[derive(Debug, Clone)]
pub(super) struct Settings {
    /// How many threads work; one for each processor where it is not said.
    pub(super) threads: Option<NonZeroU16>,
    /// The memory for notes that are used again.
    pub(super) store: Option<StoreBudget>,
    /// Whether only a table of the files is wanted.
    pub(super) only_plan: bool,
    pub(super) telling: Telling,
}

/// Whom the program speaks to while it works.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Telling {
    /// People.
    Words,
    /// Nobody; of errors alone people hear.
    Nothing,
    /// Other programs.
    Json,
}

impl Request {
    /// That of `countoff render`.
    pub(super) fn render(typed: args::Render) -> Result<Request, Failure> {
        let args::Render { choice, prune, shard, watch, making } = typed;
        let work = shard.map_or(Work::All, Work::Share);
        Ok(Request { prune, watch, ..Request::of(choice, making, work)? })
    }

    /// That of `countoff collect`.
    pub(super) fn collect(typed: args::Collect) -> Result<Request, Failure> {
        Request::of(typed.choice, typed.making, Work::Collect)
    }

    fn of(choice: Choice, making: Making, work: Work) -> Result<Request, Failure> {
        Ok(Request {
            changes: Changes::of(&choice, &making)?,
            settings: Settings::of(&making)?,
            lesson: choice.lesson,
            tracks: choice.only,
            out: making.out,
            soundfont: making.soundfont,
            prune: false,
            work,
            watch: false,
        })
    }
}

impl Settings {
    pub(super) fn of(making: &Making) -> Result<Settings, Failure> {
        let bytes = |megabytes| usize::try_from(u64::from(megabytes) << 20);
        let too_much = |_| Failure::input("--store: this machine cannot address so much memory");
        Ok(Settings {
            threads: making.jobs.and_then(NonZeroU16::new),
            store: making.store.map(bytes).transpose().map_err(too_much)?.map(StoreBudget),
            only_plan: making.plan,
            telling: match (making.json, making.quiet) {
                (true, _) => Telling::Json,
                (false, true) => Telling::Nothing,
                (false, false) => Telling::Words,
            },
        })
    }
}

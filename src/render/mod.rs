//! Plans become files: takes in parallel, each mixed once, each file in its place only when whole.

mod archive;
mod common;
mod course;
mod course_page;
mod files;
mod known;
mod notes;
mod page;
mod record;
mod set;
mod sink_thread;
mod small;
mod studio;
mod tags;
mod take;
mod whole;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Mutex;

use crate::codec::smf::SmfError;
use crate::deliver::{DeliverError, Quota, Shard};
use crate::lesson::Lesson;
use crate::mix::MixError;
use crate::page::PageError;
use crate::performance::Instrument;
use crate::plan::{Code, Plan, PlanError, TakePlan};
use crate::problem::InternalError;
use crate::sound::{SoundError, Sounds};

pub use course::render;
pub use course_page::CoursePage;
pub use studio::LEADING_SILENCE;

/// The name of the manifest in the set's folder.
pub const MANIFEST: &str = "manifest.json";

/// Why a set was not finished.
#[derive(Debug, thiserror::Error, miette::Diagnostic)]
pub enum RenderError {
    /// A take could not be mixed.
    #[error("{take}: {source}")]
    Mix {
        /// The take's name.
        take: String,
        /// Why not.
        source: MixError,
    },
    /// A file could not be written.
    #[error(transparent)]
    Deliver(#[from] DeliverError),
    /// A MIDI file cannot hold the performance.
    #[error("{path}: {source}")]
    Midi {
        /// Which file.
        path: String,
        /// Why not.
        source: SmfError,
    },
    /// A table of bar times cannot be written.
    #[error("{path}: {source}")]
    BarTimes {
        /// Which file.
        path: String,
        /// Why not.
        source: csv::Error,
    },
    /// The SoundFont cannot be used.
    #[error(transparent)]
    Sounds(#[from] SoundError),
    /// The set cannot be planned.
    #[error(transparent)]
    #[diagnostic(transparent)]
    Plan(#[from] PlanError),
    /// Files were to be gathered that are not there.
    #[error("{count} files are missing, or not as they should be: the first is {}", first.display())]
    #[diagnostic(help("`countoff render` makes them, with or without --shard"))]
    Missing {
        /// How many.
        count: usize,
        /// The first of them.
        first: PathBuf,
    },
    /// Notes could not be written down.
    #[error("{path}: {message}")]
    Notes {
        /// Which file.
        path: String,
        /// Why not.
        message: String,
    },
    /// The practice page cannot be made.
    #[error(transparent)]
    Page(#[from] PageError),
    /// The program contradicts itself.
    #[error(transparent)]
    Internal(#[from] InternalError),
    /// Somebody asked to stop.
    #[error("stopped: the files that are whole stay, and the next run makes the rest")]
    Stopped,
}

/// Receives what happens while files are made; called from several threads.
pub trait Progress: Sync {
    /// A file is whole and in its place.
    fn made(&self, file: &Made);
    /// A file has got other tags and kept its samples.
    fn tagged(&self, path: &str);
    /// A file was there already, unchanged.
    fn kept(&self, path: &str);
    /// What is in the place of a file was changed since it was made, or was not made here: it stays
    /// as it is.
    fn left_alone(&self, path: &str);
}

/// A finished file.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// Its path from the set's folder.
    pub path: String,
    /// How long it sounds, in seconds; 0 for files that are no sound.
    pub seconds: f64,
    /// The loudness of the players, in LUFS.
    pub loudness: Option<f64>,
    /// By how many LU it is quieter than asked for, where its peaks are why.
    pub short_of_target: Option<f64>,
}

/// How much of a set a run makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// What is not there yet, or not as it should be.
    All,
    /// The same of one share of the takes, beside runs that make the other shares.
    Share(Shard),
    /// No sound: what shares have made is gathered, and what is missing reported.
    Collect,
}

impl Work {
    const fn shard(self) -> Option<Shard> {
        match self {
            Work::Share(shard) => Some(shard),
            Work::All | Work::Collect => None,
        }
    }
}

/// Where the plan of a set comes from.
pub enum Planned<'a> {
    /// It is there.
    AtHand(&'a Plan),
    /// It is made when the set's turn comes, and dropped when the set is whole: the notes of a
    /// whole course would fill the memory.
    InTurn(&'a PlanSource<'a>),
}

/// Makes a plan, the same every time.
pub type PlanSource<'a> = dyn Fn() -> Result<Plan, PlanError> + Sync + 'a;

/// Opens a SoundFont for a set, or gives the one that is open already.
pub type SoundSource<'a> = dyn Fn() -> Result<Sounds, SoundError> + Sync + 'a;

/// A set to be made: the files of a plan that are not there yet, or not as they should be.
pub struct Render<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// Its plan.
    pub plan: Planned<'a>,
    /// The plan of all tracks, where the other one leaves some out: the practice page shows all.
    pub whole: Option<&'a PlanSource<'a>>,
    /// Which of the plan's takes are to be made, by their places in it, the dearest first.
    pub takes: Vec<usize>,
    /// What it sounds like; asked for only when there is something to be made.
    pub sounds: &'a SoundSource<'a>,
    /// What the instruments sound like, each as a hash: see [`crate::sound::SoundFont::hash_of`].
    pub instruments: &'a BTreeMap<Instrument, [u8; 32]>,
    /// The code that plays and writes it.
    pub code: Code,
    /// Whether files are removed that an earlier run made and this plan does not ask for.
    pub prune: bool,
    /// How much of it is made.
    pub work: Work,
    /// The set's folder.
    pub folder: PathBuf,
    /// How many bytes may be written to it.
    pub quota: Quota,
    /// Receives what happens.
    pub progress: &'a dyn Progress,
}

impl Render<'_> {
    /// What the instruments of a take sound like. All its files depend on all of them: one gain
    /// serves all its mixes.
    fn instrument_hashes(&self, take: &TakePlan) -> Result<Vec<[u8; 32]>, InternalError> {
        let hash = |instrument| {
            let known = self.instruments.get(&instrument).copied();
            known.ok_or_else(|| {
                InternalError::new(format!("{}: an instrument has no hash", take.name))
            })
        };
        take.instruments().into_iter().map(hash).collect()
    }
}

/// A lock that a panic elsewhere cannot take away.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

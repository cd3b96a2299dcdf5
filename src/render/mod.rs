//! A plan becomes files: takes in parallel, each mixed once, each file in its place only when
//! whole.

mod archive;
mod files;
mod record;
mod studio;
mod take;

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::codec::smf::SmfError;
use crate::deliver::{DeliverError, Folder, FolderLock, Manifest};
use crate::lesson::Lesson;
use crate::mix::MixError;
use crate::plan::{Plan, TakePlan};
use crate::sound::Sounds;
use crate::units::Frames;

use record::Record;
use take::TakeMaker;

/// Silence before tick 0 in every sound file, so that no player swallows the first stroke: about
/// a hundredth of a second.
pub const LEADING_SILENCE: Frames = Frames(512);

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
    /// Somebody asked to stop.
    #[error("stopped: the files that are whole stay, and the next run makes the rest")]
    Stopped,
}

/// Told what happens while files are made; called from several threads.
pub trait Progress: Sync {
    /// A file is whole and in its place.
    fn made(&self, file: &Made);
    /// A file was there already, unchanged.
    fn kept(&self, path: &str);
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

/// Makes the files of a plan that are not there yet, or not as they should be.
#[derive(Debug)]
pub struct Render<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// What is to be made.
    pub plan: &'a Plan,
    /// What it sounds like.
    pub sounds: &'a Sounds,
    /// A hash of the SoundFont's bytes.
    pub soundfont: &'a [u8],
    /// Whether files are removed that an earlier run made and this plan does not ask for.
    pub prune: bool,
    /// Set by whoever wants the work to stop soon.
    pub stop: &'a AtomicBool,
}

impl Render<'_> {
    /// Makes them in a folder.
    ///
    /// # Errors
    /// The first thing that went wrong. What was whole by then stays, and the manifest lists it.
    pub fn into_folder(&self, root: &Path, progress: &dyn Progress) -> Result<(), RenderError> {
        let mut folder_lock = FolderLock::of(root)?;
        let _held = folder_lock.hold()?;
        let before = read_manifest(root)?;
        let ours = before.files.keys().chain(&before.pending).map(PathBuf::from);
        let folder = Folder::open(root, ours.chain([PathBuf::from(MANIFEST)]))?;
        folder.clean()?;
        let record = Record::begin(&folder, before, self)?;
        let spread = self.plan.takes.len() < 2 * rayon::current_num_threads();
        let failure = Mutex::new(None);
        self.dearest_first().into_par_iter().for_each(|take| {
            if self.stop.load(Ordering::Relaxed) || lock(&failure).is_some() {
                return;
            }
            let maker =
                TakeMaker { render: self, folder: &folder, record: &record, progress, spread };
            if let Err(error) = maker.make(take) {
                lock(&failure).get_or_insert(error);
            }
        });
        let failure = failure.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
        let outcome = match failure {
            Some(error) => Err(error),
            None if self.stop.load(Ordering::Relaxed) => Err(RenderError::Stopped),
            None => self.complete(&folder, &record, progress),
        };
        record.finish()?;
        outcome
    }

    /// What is done once the files of all takes are there.
    fn complete(
        &self,
        folder: &Folder,
        record: &Record<'_>,
        progress: &dyn Progress,
    ) -> Result<(), RenderError> {
        if self.prune {
            record.prune()?;
        }
        archive::make(self, folder, record, progress)
    }

    /// The takes, the longest first: so that no thread is left alone with a long one at the end.
    fn dearest_first(&self) -> Vec<&TakePlan> {
        let mut takes: Vec<&TakePlan> = self.plan.takes.iter().collect();
        takes.sort_by_key(|take| std::cmp::Reverse(take.cost()));
        takes
    }
}

/// The manifest of an earlier run; an empty one where there is none.
fn read_manifest(root: &Path) -> Result<Manifest, DeliverError> {
    let path = root.join(MANIFEST);
    match std::fs::read_to_string(&path) {
        Ok(text) => Manifest::parse(&text, &path),
        Err(error) if path.exists() => {
            Err(DeliverError::Manifest { path, message: error.to_string() })
        }
        Err(_) => Ok(Manifest::new("")),
    }
}

/// A lock that a panic elsewhere cannot take away.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

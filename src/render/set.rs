//! A set while it is being made: its folder held, its record open.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::deliver::{Folder, FolderLock, OwnFile};
use crate::page::PAGE;
use crate::performance::Part;
use crate::plan::{NotesPlan, Plan, SoundHashes, TakePlan};
use crate::problem::InternalError;

use super::archive;
use super::common::CommonBuses;
use super::known::{Known, Names};
use super::notes;
use super::page;
use super::record::Record;
use super::take::TakeMaker;
use super::whole::WholeFile;
use super::{Planned, Render, RenderError, Work, lock};

/// A set being made.
pub(super) struct OpenSet<'a> {
    render: &'a Render<'a>,
    plan: Cow<'a, Plan>,
    record: Record,
    common: CommonBuses,
    /// The first thing that went wrong.
    failure: Mutex<Option<RenderError>>,
    held: FolderLock,
}

impl<'a> OpenSet<'a> {
    /// Holds the set's folder and writes down what is about to be made.
    pub(super) fn open(render: &'a Render<'a>) -> Result<OpenSet<'a>, RenderError> {
        let root = &render.folder;
        let shard = render.work.shard();
        let held = match shard {
            Some(shard) => FolderLock::share(root, shard)?,
            None => FolderLock::whole(root)?,
        };
        let plan = match render.plan {
            Planned::AtHand(plan) => Cow::Borrowed(plan),
            Planned::InTurn(source) => Cow::Owned(source()?),
        };
        let known = Known::read(root)?;
        let own = Names::of(shard);
        let own = own.paths().map(|path| (path.clone(), OwnFile::Record));
        let mut folder = Folder::open(root, known.own_files().chain(own))?;
        folder = folder.within(render.quota.clone());
        match shard {
            Some(shard) => folder = folder.shared(shard),
            // What other runs are writing to is theirs.
            None => folder.clean()?,
        }
        let planned = planned(render, &plan)?;
        let record = Record::begin(folder, known, &render.lesson.title, planned, shard)?;
        let common = CommonBuses::new(&render.takes);
        Ok(OpenSet { render, plan, record, common, failure: Mutex::default(), held })
    }

    /// Makes one of the plan's takes, unless something has gone wrong already. Its sound files are
    /// handed over as each is whole, to be [`put`](OpenSet::put) in their places.
    pub(super) fn make(
        &self,
        take: usize,
        has_spare_threads: bool,
        hand_over: &dyn Fn(WholeFile),
        stop: &AtomicBool,
    ) {
        let Some(planned) = self.plan.takes.get(take) else { return };
        if stop.load(Ordering::Relaxed) || lock(&self.failure).is_some() {
            return;
        }
        let common =
            |parts: &[Part]| self.common.bus(&self.plan, take, parts, self.render.lesson.rate);
        let maker = TakeMaker {
            render: self.render,
            common: &common,
            folder: self.record.folder(),
            record: &self.record,
            progress: self.render.progress,
            hand_over,
            has_spare_threads,
            stop,
        };
        self.note_failure(maker.make(planned));
        self.common.done(take);
    }

    /// Puts a file in its place, whatever else has gone wrong.
    pub(super) fn put(&self, file: WholeFile) {
        self.note_failure(file.put(&self.record, self.render.progress));
    }

    fn note_failure(&self, outcome: Result<(), RenderError>) {
        if let Err(error) = outcome {
            lock(&self.failure).get_or_insert(error);
        }
    }

    /// Ends the work on the set. What is whole by now stays, and the manifest lists it.
    pub(super) fn finish(&self, stop: &AtomicBool) -> Result<(), RenderError> {
        let outcome = match lock(&self.failure).take() {
            Some(error) => Err(error),
            None if stop.load(Ordering::Relaxed) => Err(RenderError::Stopped),
            None => self.complete(stop),
        };
        // Where both fail, it is for the same reason, and the first says more.
        let recorded = self.record.finish();
        if recorded.is_ok() && self.render.work.shard().is_none() {
            self.held.forget_shares(&self.render.folder);
        }
        outcome?;
        Ok(recorded?)
    }

    /// What is done once all sound files are there.
    fn complete(&self, stop: &AtomicBool) -> Result<(), RenderError> {
        if let Some((count, first)) = self.record.first_missing() {
            let first = self.render.folder.join(first);
            return Err(RenderError::Missing { count, first });
        }
        if self.render.prune {
            let left = self.record.prune()?;
            left.iter().for_each(|path| self.render.progress.left_alone(path));
        }
        if let Work::Share(_) = self.render.work {
            return Ok(());
        }
        let whole = self.render.whole.map(|source| source()).transpose()?;
        notes::make(self.render, &self.plan, &self.record)?;
        page::make(self.render, whole.as_ref().unwrap_or(&self.plan), &self.record)?;
        archive::make(self.plan.archive.as_ref(), &self.record, self.render.progress, stop)
    }
}

/// Every file that a run makes, with the hash of what it depends on where that is known before.
fn planned(
    render: &Render<'_>,
    plan: &Plan,
) -> Result<BTreeMap<String, Option<String>>, InternalError> {
    let takes = || render.takes.iter().filter_map(|take| plan.takes.get(*take));
    let mut planned: BTreeMap<String, Option<String>> =
        takes().flat_map(TakePlan::paths).map(|path| (path.clone(), None)).collect();
    for take in takes() {
        let instruments = render.instrument_hashes(take)?;
        let depends = |sound| SoundHashes::of(sound, &instruments, render.code).depends;
        planned.extend(take.sounds.iter().map(|sound| (sound.path.clone(), Some(depends(sound)))));
    }
    if render.work.shard().is_none() {
        let pictures = plan.notes.iter().map(NotesPlan::picture);
        let sheets = plan.notes.iter().map(|sheet| sheet.path.clone());
        let handouts = plan.handouts.iter().map(|handout| handout.path.clone());
        let sheets = sheets.chain(pictures).chain(handouts);
        let of_set = sheets.chain(plan.archive.clone()).chain([PAGE.to_owned()]);
        planned.extend(of_set.map(|path| (path, None)));
    }
    Ok(planned)
}

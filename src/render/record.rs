//! The record of a run: which files are whole, kept in the manifest and the journal.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::Path;
use std::sync::Mutex;

use crate::chart::Pace;
use crate::deliver::{
    AtomicFile, BarEntry, DeliverError, FileEntry, FileState, Folder, Journal, Manifest, Shard,
    TakeEntry, TempoEntry, Times,
};
use crate::lesson::Track;
use crate::plan::TakePlan;
use crate::problem::InternalError;
use crate::units::{Frames, SampleRate, Tempo, Ticks};

use super::known::{Known, Names};
use super::lock;
use super::studio::LEADING_SILENCE;

/// What is whole so far.
pub(super) struct Record {
    folder: Folder,
    names: Names,
    before: Known,
    now: Mutex<Manifest>,
    planned: BTreeSet<String>,
    /// Files that are not as they should be, in a run that makes none.
    missing: Mutex<BTreeSet<String>>,
    /// Begun with the first file that is made.
    journal: Mutex<Option<Journal>>,
}

impl Record {
    /// Writes down what is about to be made: `planned` has every file, with the hash of what it
    /// depends on where that is known before it is made. A share writes down its own files only; a
    /// run over the whole set keeps what earlier runs made and this one does not ask for.
    pub(super) fn begin(
        folder: Folder,
        before: Known,
        title: &str,
        planned: BTreeMap<String, Option<String>>,
        shard: Option<Shard>,
    ) -> Result<Record, DeliverError> {
        let mut now = Manifest::new(title);
        let known = &before.manifest;
        now.files = known.files.clone();
        now.takes = known.takes.clone();
        if shard.is_some() {
            // Its takes are noted when their turn comes.
            now.files.retain(|path, _| planned.contains_key(path));
            now.takes.clear();
        }
        let is_pending = |(path, depends): (&String, &Option<String>)| match known.files.get(path) {
            Some(entry) => depends.as_ref().is_some_and(|depends| *depends != entry.depends),
            None => true,
        };
        now.pending = planned
            .iter()
            .filter(|planned| is_pending(*planned))
            .map(|(path, _)| path.clone())
            .collect();
        let record = Record {
            folder,
            names: Names::of(shard),
            before,
            now: Mutex::new(now),
            planned: planned.into_keys().collect(),
            missing: Mutex::default(),
            journal: Mutex::default(),
        };
        let known = &record.before.manifest;
        if record.before.is_from_journal
            || record.now().pending != known.pending
            || record.now().title != known.title
        {
            record.write()?;
        }
        Ok(record)
    }

    /// The folder of the set.
    pub(super) fn folder(&self) -> &Folder {
        &self.folder
    }

    fn now(&self) -> std::sync::MutexGuard<'_, Manifest> {
        lock(&self.now)
    }

    /// Whether a file is there as it should be: made from the same, and as it was left.
    pub(super) fn unchanged(&self, path: &str, depends: &str) -> bool {
        let entry = self.before.manifest.files.get(path);
        entry.is_some_and(|entry| entry.depends == depends && self.as_left(path, entry))
    }

    /// The entry of a file that is as it was left and has the samples that it should have.
    pub(super) fn same_samples(&self, path: &str, audio: &str) -> Option<&FileEntry> {
        let entry = self.before.manifest.files.get(path)?;
        let same = entry.sound.as_ref().is_some_and(|sound| sound.audio == audio);
        (same && self.as_left(path, entry)).then_some(entry)
    }

    /// Whether a file is neither shorter nor longer than it was, nor written to since. One whose
    /// time is another (in a set that was copied) is known by its content.
    fn as_left(&self, path: &str, entry: &FileEntry) -> bool {
        let Some((size, modified)) = self.folder.stamp(Path::new(path)) else { return false };
        if size != entry.size {
            return false;
        }
        if modified == entry.modified {
            return true;
        }
        let same = self.folder.hash(Path::new(path)).is_some_and(|hash| hash == entry.hash);
        if same && let Some(entry) = self.now().files.get_mut(path) {
            entry.modified = modified;
        }
        same
    }

    /// Whether what is in the place of a file is not as it was made, and stays.
    pub(super) fn is_changed(&self, path: &str) -> Result<bool, DeliverError> {
        Ok(self.folder.state(Path::new(path))? == FileState::Changed)
    }

    /// Notes a take.
    pub(super) fn take(&self, take: &TakePlan, entry: TakeEntry) {
        self.now().takes.insert(take.name.clone(), entry);
    }

    /// Puts a whole file in its place, and notes it by what is known of it besides size and time.
    /// Whether that could be: what is there and is not as it was made stays.
    ///
    /// # Errors
    /// The file or its line in the journal cannot be written.
    pub(super) fn put(
        &self,
        mut file: AtomicFile,
        path: &str,
        entry: FileEntry,
    ) -> Result<bool, DeliverError> {
        let (size, modified) = file.complete()?;
        let entry = FileEntry { size, modified, ..entry };
        self.journal(path, &entry)?;
        match file.commit(&self.folder) {
            Ok(_) => {
                self.note(path, entry);
                Ok(true)
            }
            Err(DeliverError::Foreign { .. }) => {
                self.leave(path);
                Ok(false)
            }
            Err(error) => Err(error),
        }
    }

    /// Notes a file that is there already, with the very content that it should have.
    pub(super) fn adopt(&self, path: &str, entry: FileEntry) {
        if let Some((size, modified)) = self.folder.stamp(Path::new(path)) {
            self.note(path, FileEntry { size, modified, ..entry });
        }
    }

    fn note(&self, path: &str, entry: FileEntry) {
        let mut now = self.now();
        now.pending.remove(path);
        now.files.insert(path.to_owned(), entry);
    }

    /// Notes that what is in the place of a file is left alone.
    pub(super) fn leave(&self, path: &str) {
        self.now().pending.remove(path);
    }

    fn journal(&self, path: &str, entry: &FileEntry) -> Result<(), DeliverError> {
        let mut journal = lock(&self.journal);
        let journal = match &mut *journal {
            Some(journal) => journal,
            none => none.insert(Journal::begin(&self.folder, &self.names.journal)?),
        };
        journal.note(path, entry)
    }

    /// The manifest as it stands.
    pub(super) fn manifest(&self) -> Manifest {
        self.now().clone()
    }

    /// Notes that a file is not there as it should be, in a run that makes none.
    pub(super) fn missing(&self, path: &str) {
        lock(&self.missing).insert(path.to_owned());
    }

    /// How many files are missing, and the first of them.
    pub(super) fn first_missing(&self) -> Option<(usize, String)> {
        let missing = lock(&self.missing);
        Some((missing.len(), missing.first()?.clone()))
    }

    /// Removes what an earlier run made and this one does not ask for. What was changed since stays,
    /// and is no longer listed: these files are given back.
    pub(super) fn prune(&self) -> Result<Vec<String>, DeliverError> {
        let before = self.now().clone();
        let mut left = Vec::new();
        for path in before.files.keys().filter(|path| !self.planned.contains(*path)) {
            if self.is_changed(path)? {
                left.push(path.clone());
            } else {
                self.folder.remove(Path::new(path))?;
            }
            self.now().files.remove(path);
        }
        let mut now = self.now();
        let used: BTreeSet<String> =
            now.files.values().filter_map(|file| file.take.clone()).collect();
        now.takes.retain(|take, _| used.contains(take));
        Ok(left)
    }

    /// Writes down where things stand, if they have changed. What shares wrote is in it then.
    pub(super) fn finish(&self) -> Result<(), DeliverError> {
        let is_whole = self.names == Names::of(None);
        let of_shares = &self.before.of_shares;
        // Another version of the program is no reason to write it.
        let before = &self.before.manifest;
        let made_by = self.now().made_by.clone();
        let is_same = *self.now() == Manifest { made_by, ..before.clone() };
        if !is_same || !of_shares.is_empty() || !is_whole {
            self.write()?;
        }
        self.folder.remove(&self.names.journal)?;
        if is_whole {
            for path in of_shares.iter().flat_map(Names::paths) {
                self.folder.remove(path)?;
            }
        }
        Ok(())
    }

    /// Writes manifest and times as they stand; one that would not change is left alone.
    fn write(&self) -> Result<(), DeliverError> {
        let now = self.now().clone();
        for (path, text) in
            [(&self.names.manifest, now.to_json()), (&self.names.times, Times::of(&now).to_json())]
        {
            let place = self.folder.root().join(path);
            let text = text.map_err(|error| DeliverError::Manifest {
                path: place.clone(),
                message: error.to_string(),
            })?;
            let hash = blake3::hash(text.as_bytes()).to_hex().to_string();
            if self.folder.hash(path) == Some(hash) {
                continue;
            }
            let mut file = self.folder.create(path)?;
            file.write_all(text.as_bytes())
                .map_err(|source| DeliverError::write(&place, source))?;
            file.commit(&self.folder)?;
        }
        Ok(())
    }
}

/// Where tick 0 of a take is in its files: a loop begins with it at once.
pub(super) fn first_frame(take: &TakePlan) -> Frames {
    if take.notes.timeline.loops { Frames::ZERO } else { LEADING_SILENCE }
}

/// What the manifest says of a take.
///
/// # Errors
/// Never, unless the plan contradicts itself.
pub(super) fn take_entry(
    take: &TakePlan,
    track: &Track,
    rate: SampleRate,
) -> Result<TakeEntry, InternalError> {
    let internal = |what: &str| InternalError::new(format!("{}: {what}", take.name));
    let timeline = &take.notes.timeline;
    let frame = |tick| (timeline.tempo.frame(tick, rate) + first_frame(take)).0;
    let keys: BTreeSet<String> = timeline.bars.iter().map(|bar| bar.home.to_string()).collect();
    let bars = timeline.bars.iter().map(|bar| BarEntry {
        frame: frame(bar.start),
        kind: bar.kind.to_string(),
        chorus: bar.chorus + 1,
        section: bar.section.clone(),
        key: bar.key.to_string(),
        chords: bar
            .slots
            .iter()
            .map(|slot| match &slot.harmony {
                Some(harmony) => harmony.symbol.to_string(),
                None => "N.C.".to_owned(),
            })
            .collect(),
    });
    let tempo = |(tick, tempo): (Ticks, Tempo)| match timeline.bar(tick) {
        Some(bar) => {
            let bpm = if bar.pace == Pace::STEADY {
                bar.tempo.get()
            } else {
                let bpm = tempo.quarters_per_minute() / timeline.meter.beat().quarters();
                (bpm * 1000.0).round() / 1000.0
            };
            Ok(TempoEntry { frame: frame(tick), micros_per_quarter: tempo.0, bpm })
        }
        None => Err(internal("a tempo begins in no bar")),
    };
    Ok(TakeEntry {
        track: track.number,
        name: track.name.clone(),
        key: (keys.len() == 1).then(|| take.key.to_string()),
        rate: rate.hz(),
        tempo_map: timeline.tempo.changes().map(tempo).collect::<Result<_, _>>()?,
        bars: bars.collect(),
    })
}

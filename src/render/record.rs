//! The record of a run: which files are whole, kept in the manifest as the work goes on.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use crate::deliver::{BarEntry, DeliverError, FileEntry, Folder, Manifest, TakeEntry, TempoEntry};
use crate::plan::TakePlan;
use crate::units::{Frames, SampleRate};

use super::{LEADING_SILENCE, MANIFEST, Render, lock};

/// How often the manifest is written while the work goes on: a kill loses the record of no more
/// than this, and its files are made again.
const WRITE_EVERY: Duration = Duration::from_secs(5);

/// What is whole so far.
pub(super) struct Record<'a> {
    folder: &'a Folder,
    before: Manifest,
    now: Mutex<Manifest>,
    planned: BTreeSet<String>,
    written: Mutex<Instant>,
}

impl<'a> Record<'a> {
    /// Writes down what is about to be made: a run that is killed leaves files that the next one
    /// knows for its own.
    pub(super) fn begin(
        folder: &'a Folder,
        before: Manifest,
        render: &Render<'_>,
    ) -> Result<Record<'a>, DeliverError> {
        let mut now = Manifest::new(&render.lesson.title);
        let takes = &render.plan.takes;
        let paths = takes.iter().flat_map(TakePlan::paths).chain(&render.plan.archive);
        let planned: BTreeSet<String> = paths.cloned().collect();
        for path in &planned {
            folder.may_make(Path::new(path))?;
        }
        // What an earlier run made and this one does not ask for stays, and stays known.
        now.files = before.files.clone();
        now.takes = before.takes.clone();
        now.pending =
            planned.iter().filter(|path| !before.files.contains_key(*path)).cloned().collect();
        now.pending
            .extend(before.pending.iter().filter(|path| folder.has(Path::new(path))).cloned());
        let written = Mutex::new(Instant::now());
        let record = Record { folder, before, now: Mutex::new(now), planned, written };
        if record.now().pending != record.before.pending
            || record.now().title != record.before.title
        {
            record.write()?;
        }
        Ok(record)
    }

    fn now(&self) -> std::sync::MutexGuard<'_, Manifest> {
        lock(&self.now)
    }

    /// The entry of a file that is there as it should be: made from the same, and since then
    /// neither shorter nor longer nor written to.
    pub(super) fn unchanged(&self, path: &str, depends: &str) -> bool {
        self.before.files.get(path).is_some_and(|entry| {
            entry.depends == depends
                && self.folder.stamp(Path::new(path)) == Some((entry.size, entry.modified))
        })
    }

    /// Notes a take.
    pub(super) fn take(&self, take: &TakePlan, entry: TakeEntry) {
        self.now().takes.insert(take.name.clone(), entry);
    }

    /// Notes a whole file.
    ///
    /// # Errors
    /// The manifest, which is written now and then, cannot be.
    pub(super) fn file(&self, path: &str, entry: FileEntry) -> Result<(), DeliverError> {
        {
            let mut now = self.now();
            now.pending.remove(path);
            now.files.insert(path.to_owned(), entry);
        }
        let mut written = lock(&self.written);
        if written.elapsed() < WRITE_EVERY {
            return Ok(());
        }
        *written = Instant::now();
        self.write()
    }

    /// The manifest as it stands.
    pub(super) fn manifest(&self) -> Manifest {
        self.now().clone()
    }

    /// Removes what an earlier run made and this one does not ask for.
    pub(super) fn prune(&self) -> Result<(), DeliverError> {
        let before = self.now().clone();
        for path in before.files.keys().filter(|path| !self.planned.contains(*path)) {
            self.folder.remove(Path::new(path))?;
            self.now().files.remove(path);
        }
        {
            let mut now = self.now();
            let used: BTreeSet<String> =
                now.files.values().filter_map(|file| file.take.clone()).collect();
            now.takes.retain(|take, _| used.contains(take));
        }
        if *self.now() == before { Ok(()) } else { self.write() }
    }

    /// Writes the manifest as it stands, if it has changed.
    pub(super) fn finish(&self) -> Result<(), DeliverError> {
        if *self.now() == self.before { Ok(()) } else { self.write() }
    }

    /// Writes the manifest as it stands.
    pub(super) fn write(&self) -> Result<(), DeliverError> {
        let text = self.now().to_json().map_err(|error| DeliverError::Manifest {
            path: self.folder.root().join(MANIFEST),
            message: error.to_string(),
        })?;
        let path = Path::new(MANIFEST);
        let mut file = self.folder.create(path)?;
        file.write_all(text.as_bytes()).map_err(|source| DeliverError::write(path, source))?;
        file.commit()?;
        Ok(())
    }
}

/// Where tick 0 of a take is in its files: a loop begins with it at once.
pub(super) fn first_frame(take: &TakePlan) -> Frames {
    if take.notes.timeline.loops { Frames::ZERO } else { LEADING_SILENCE }
}

/// What the manifest says of a take.
pub(super) fn take_entry(take: &TakePlan, track_name: &str, rate: SampleRate) -> TakeEntry {
    let timeline = &take.notes.timeline;
    let frame = |tick| (timeline.tempo.frame(tick, rate) + first_frame(take)).0;
    let keys: BTreeSet<String> = timeline.bars.iter().map(|bar| bar.key.to_string()).collect();
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
    TakeEntry {
        track: u32::try_from(take.track + 1).unwrap_or(u32::MAX),
        name: track_name.to_owned(),
        key: (keys.len() == 1).then(|| take.key.to_string()),
        rate: rate.hz(),
        tempo_map: timeline
            .tempo
            .changes()
            .map(|(tick, tempo)| TempoEntry {
                frame: frame(tick),
                micros_per_quarter: tempo.0,
                bpm: timeline.bar(tick).map_or(0.0, |bar| bar.tempo.get()),
            })
            .collect(),
        bars: bars.collect(),
    }
}

//! The note store: every waveform is made once and kept for all takes and threads.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::SoundError;
use super::key::NoteKey;
use super::note::NoteWave;

/// How much memory the note store may keep, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct StoreBudget(pub usize);

impl Default for StoreBudget {
    /// 192 MiB: about a thousand piano notes of one second.
    fn default() -> StoreBudget {
        StoreBudget(192 << 20)
    }
}

/// Waveforms are made in steps of so many blocks, so that notes of slightly different lengths do
/// not each make a new one: about a quarter of a second.
const STEP: usize = 172;

/// Waveforms by note. One thread makes a note while others that want it wait; whoever wants
/// another note is not held up.
#[derive(Debug)]
pub(super) struct NoteStore {
    budget: StoreBudget,
    entries: Mutex<Entries>,
}

/// One note's place. Empty until it is made.
type Cell = Arc<Mutex<Option<Arc<NoteWave>>>>;

#[derive(Debug, Default)]
struct Entries {
    cells: BTreeMap<NoteKey, Entry>,
    /// Which note was used when; the first entry goes first.
    by_use: BTreeMap<u64, NoteKey>,
    clock: u64,
    bytes: usize,
}

#[derive(Debug)]
struct Entry {
    cell: Cell,
    used: u64,
    bytes: usize,
}

impl NoteStore {
    pub(super) fn new(budget: StoreBudget) -> NoteStore {
        NoteStore { budget, entries: Mutex::new(Entries::default()) }
    }

    /// A note's waveform of at least `blocks`, made by `make` unless it is there, and then as long
    /// as `longest`. A longer waveform begins like a shorter one, so what is heard never depends
    /// on what is kept.
    pub(super) fn get(
        &self,
        note: NoteKey,
        blocks: usize,
        longest: usize,
        make: impl FnOnce(usize) -> Result<NoteWave, SoundError>,
    ) -> Result<Arc<NoteWave>, SoundError> {
        let cell = self.entries().touch(note);
        let mut place = cell.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(wave) = place.as_ref().filter(|wave| wave.blocks >= blocks) {
            return Ok(wave.clone());
        }
        let wave = Arc::new(make(longest.max(blocks).next_multiple_of(STEP))?);
        *place = Some(wave.clone());
        drop(place);
        self.entries().weigh(note, &cell, wave.bytes(), self.budget);
        Ok(wave)
    }

    fn entries(&self) -> MutexGuard<'_, Entries> {
        self.entries.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Entries {
    /// The place of a note, marked as just used.
    fn touch(&mut self, note: NoteKey) -> Cell {
        self.clock += 1;
        let used = self.clock;
        let entry = self.cells.entry(note).or_insert_with(|| Entry {
            cell: Cell::default(),
            used,
            bytes: 0,
        });
        self.by_use.remove(&entry.used);
        entry.used = used;
        self.by_use.insert(used, note);
        entry.cell.clone()
    }

    /// Takes down what a note weighs and lets the least recently used go until all fit.
    fn weigh(&mut self, note: NoteKey, cell: &Cell, bytes: usize, budget: StoreBudget) {
        // The place may have been let go, and even taken again, while the note was made.
        let entry = self.cells.get_mut(&note).filter(|entry| Arc::ptr_eq(&entry.cell, cell));
        if let Some(entry) = entry {
            self.bytes = self.bytes - entry.bytes + bytes;
            entry.bytes = bytes;
        }
        while self.bytes > budget.0 {
            let Some((_, oldest)) = self.by_use.pop_first() else { return };
            if let Some(entry) = self.cells.remove(&oldest) {
                self.bytes -= entry.bytes;
            }
        }
    }
}

#[cfg(test)]
mod tests;

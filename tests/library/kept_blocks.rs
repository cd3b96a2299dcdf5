//! What the survey heard may be kept in memory, in files, or not at all: the mixes are the same.

use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::support::{Sines, Tape, take};
use countoff::feel::{Performance, PerformedPart};
use countoff::mix::{MixSettings, MixSpec, RoomSource, StemSource, Studio, TakeReport, render};
use countoff::part::Part::{Bass, Click, Comp, CountIn, Drums};

/// Sines, with a disk.
struct WithDisk {
    sines: Sines,
    /// How many files it still has room for.
    files: AtomicUsize,
    /// Where nothing can be written to a file.
    is_full: bool,
    memory_is_fresh: bool,
}

impl Studio for WithDisk {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> std::result::Result<Box<dyn StemSource>, String> {
        self.sines.stem(take, part)
    }

    fn room(&self) -> Box<dyn RoomSource> {
        self.sines.room()
    }

    fn spare_memory(&self) -> usize {
        self.sines.spare_memory
    }

    fn memory_is_fresh(&self) -> bool {
        self.memory_is_fresh
    }

    fn file(&self) -> Result<File> {
        let left = self
            .files
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, |files| files.checked_sub(1));
        left.map_err(|_| Error::from(ErrorKind::StorageFull))?;
        let file = tempfile::NamedTempFile::new()?;
        if self.is_full { File::open(file.path()) } else { file.reopen() }
    }
}

fn mixed(
    spare_memory: usize,
    (files, is_full): (usize, bool),
    spread: bool,
    memory_is_fresh: bool,
) -> (TakeReport, Vec<Tape>) {
    let settings = MixSettings { spread, ..MixSettings::default() };
    let sines = Sines {
        rate: settings.rate,
        amplitude: 0.2,
        has_room: true,
        drum_decay: 2.0,
        spare_memory,
    };
    let studio = WithDisk { sines, files: AtomicUsize::new(files), is_full, memory_is_fresh };
    let mixes = [&[Comp, Bass, Drums, Click][..], &[Bass, Drums], &[Comp, Drums]];
    let take = take(6, &[Comp, Bass, Drums, Click, CountIn]);
    render(&take, &studio, &mixes.map(MixSpec::of), &settings, |_, _| Ok(Tape::default())).unwrap()
}

/// Three buses of players: with room for two files, the third cannot move its blocks.
#[test]
fn mixes_are_the_same_wherever_blocks_are_kept() {
    let nothing_kept = mixed(0, (0, false), false, false);
    for spare_memory in [0, 1 << 20, 1 << 30] {
        for files in [(0, false), (2, false), (3, false), (3, true)] {
            for (spread, is_fresh) in [(false, false), (false, true), (true, true)] {
                let kept = mixed(spare_memory, files, spread, is_fresh);
                assert!(
                    kept == nothing_kept,
                    "{spare_memory} bytes, files {files:?}, spread: {spread}, fresh: {is_fresh}"
                );
            }
        }
    }
}

//! What the survey heard may be kept in files, or made again: the mixes are the same.

use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::support::{Sines, Tape, take};
use countoff::mix::{
    Extent, MixSettings, MixSpec, RoomSource, StemSource, Studio, TakeReport, render,
};
use countoff::performance::Part::{self, Bass, Click, Comp, CountIn, Drums};
use countoff::performance::{Performance, PerformedPart};
use countoff::units::Frames;

/// Sines, with a disk.
struct WithDisk {
    sines: Sines,
    /// How many files it still has room for.
    files: AtomicUsize,
    /// Where nothing can be written to a file.
    is_full: bool,
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
    mixes: &[&[Part]],
    extent: Extent,
    (files, is_full): (usize, bool),
    player_thread: bool,
) -> (TakeReport, Vec<Tape>) {
    let settings = MixSettings { player_thread, extent, ..MixSettings::default() };
    let sines = Sines { rate: settings.rate, amplitude: 0.2, has_room: true, drum_decay: 2.0 };
    let studio = WithDisk { sines, files: AtomicUsize::new(files), is_full };
    let mixes: Vec<MixSpec> = mixes.iter().map(|parts| MixSpec::of(parts)).collect();
    let take = take(6, &[Comp, Bass, Drums, Click, CountIn]);
    render(&take, &studio, &mixes, &settings, |_, _| Ok(Tape::default())).unwrap()
}

/// Three buses of players, and one bus; a whole take, and one cut out of a loop. With room for two
/// files, the third bus has none.
#[test]
fn mixes_are_the_same_wherever_blocks_are_kept() {
    let three_buses = [&[Comp, Bass, Drums, Click][..], &[Bass, Drums], &[Comp, Drums]];
    let one_bus = [&[Comp, Bass, Drums][..], &[Comp, Bass, Drums, Click, CountIn]];
    let cut = Extent::Cut { from: Frames(50_000), to: Frames(250_001) };
    for (mixes, extent) in
        [(&three_buses[..], Extent::Whole), (&one_bus, Extent::Whole), (&one_bus, cut)]
    {
        let made_again = mixed(mixes, extent, (0, false), false);
        for files in [(0, false), (2, false), (3, false), (3, true)] {
            for player_thread in [false, true] {
                let kept = mixed(mixes, extent, files, player_thread);
                assert!(
                    kept == made_again,
                    "{mixes:?}, {extent:?}, files {files:?}, player_thread: {player_thread}"
                );
            }
        }
    }
}

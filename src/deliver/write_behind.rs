//! Long files go to the disk while they are written, and are forgotten once they are there.
//!
//! Left to itself, the system gathers all of a file in its memory until the file is synced, and keeps
//! it there for those who may read it. A set of gigabytes would push all else out, and fresh memory for
//! each file costs more than writing to it (measured: a third of a large set); and the sync at the end of
//! a long track is a wait for nothing (measured: a twentieth of its time on two threads). What the system
//! makes of it changes nothing in the file.

use std::fs::File;

/// Bytes that are gathered: three quarters of a minute of a WAV file.
const PIECE: usize = 8 << 20;

/// How far the system is behind with a file.
#[derive(Debug, Default)]
pub(super) struct WriteBehind {
    /// Bytes written since the last piece was full.
    gathered: usize,
    /// Whether any was.
    is_long: bool,
    /// Whether the file is read before it is synced.
    is_read: bool,
}

impl WriteBehind {
    /// The file will be read before it is synced.
    pub(super) fn wait(&mut self) {
        self.is_read = true;
    }

    /// So many more bytes were written.
    pub(super) fn wrote(&mut self, file: &File, bytes: usize) {
        self.gathered += bytes;
        if self.gathered >= PIECE {
            (self.gathered, self.is_long) = (0, true);
            if !self.is_read {
                go_on(file);
            }
        }
    }

    /// The file is on the disk.
    pub(super) fn synced(&self, file: &File) {
        if self.is_long {
            go_on(file);
        }
    }
}

/// Has the system begin to write what it has of a file, and forget what is on the disk.
fn go_on(file: &File) {
    #[cfg(target_os = "linux")]
    let _ = rustix::fs::fadvise(file, 0, None, rustix::fs::Advice::DontNeed);
    #[cfg(not(target_os = "linux"))]
    let _ = file;
}

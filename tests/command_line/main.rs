//! The program as a teacher meets it: typed commands, what they print, what they leave on disk.

#![allow(clippy::unwrap_used, reason = "a test may fail where it stands")]

mod again;
mod archive;
mod changed_by_hand;
mod composed_lines;
mod course;
mod formats;
mod full_disk;
mod harness;
mod hostile;
mod input;
#[cfg(unix)]
mod killed;
mod lines;
mod notes;
mod page;
mod set;
mod small_commands;
mod speaks;
#[cfg(unix)]
mod stopped;
mod verify;
#[cfg(unix)]
mod watch;
mod written_lines;

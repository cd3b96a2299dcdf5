//! Mixes become files: encoded, tagged, named, and put in place only when whole.

mod atomic;
mod encoder;
mod error;
mod hashed;
mod lock;
mod manifest;
mod midi;
mod names;
mod tags;
mod verify;
mod wav;

pub use atomic::{AtomicFile, Folder};
pub use encoder::{Encoder, FileFormat, SoundFile, encoder};
pub use error::DeliverError;
pub use hashed::Hashed;
pub use lock::FolderLock;
pub use manifest::{BarEntry, FileEntry, Manifest, SoundEntry, TakeEntry, TempoEntry};
pub use midi::song;
pub use names::{FileName, NameRegister, plain_words};
pub use tags::Tags;
pub use verify::{Finding, verify};

//! Mixes become files: encoded, tagged, named, and put in place only when whole.

mod atomic;
mod encoder;
mod error;
mod manifest;
mod names;
mod tags;
mod wav;

pub use atomic::{AtomicFile, Folder};
pub use encoder::{Encoder, FileFormat, SoundFile, encoder};
pub use error::DeliverError;
pub use manifest::{FileEntry, Manifest, TakeEntry};
pub use names::{FileName, NameRegister};
pub use tags::Tags;

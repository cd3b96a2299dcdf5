//! Mixes become files: encoded, tagged, named, and put in place only when whole.

mod archive;
mod atomic;
mod bar_times;
mod comments;
mod decode;
mod encoder;
mod error;
mod flac;
mod format;
mod hashed;
mod level_picture;
mod lock;
mod manifest;
mod midi;
#[cfg(feature = "mp3")]
mod mp3;
mod names;
mod quota;
mod retag;
mod samples;
mod shard;
mod tags;
mod times;
mod verify;
mod wav;
mod write_behind;

pub use archive::Archive;
pub use atomic::{AtomicFile, Folder};
pub use bar_times::bar_times;
pub use encoder::{Encoder, SoundFile, encoder};
pub use error::DeliverError;
pub use format::{Container, FileFormat, MP3_BITS_A_SECOND};
pub use hashed::Hashed;
pub use level_picture::LevelPicture;
pub use lock::FolderLock;
pub use manifest::{BarEntry, FileEntry, Manifest, SoundEntry, TakeEntry, TempoEntry};
pub use midi::song;
pub use names::{FileName, NameRegister, key_words, plain_words};
pub use quota::Quota;
pub use retag::retag;
pub use shard::{Shard, ShardError};
pub use tags::Tags;
pub use times::Times;
pub use verify::{Finding, verify};

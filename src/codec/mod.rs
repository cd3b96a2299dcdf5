//! Bytes to plain structs and back, one folder a format. Knows nothing of charts or sound.

pub mod abc;
pub mod flac;
mod loudness;
pub mod musicxml;
pub mod smf;
pub mod wav;

/// The most notes that are read from a file or a text: 48 in each bar of the longest chorus.
pub const MOST_NOTES: usize = 50_000;

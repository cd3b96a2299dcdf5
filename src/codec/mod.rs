//! Bytes to plain structs and back, one folder a format. Knows nothing of charts or sound.

pub mod abc;
pub mod flac;
mod loudness;
pub mod musicxml;
pub mod smf;
pub mod wav;

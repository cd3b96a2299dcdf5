//! Bytes to plain structs and back, one folder a format. Knows nothing of charts or sound.

pub mod flac;
pub mod musicxml;
pub mod smf;
pub mod wav;

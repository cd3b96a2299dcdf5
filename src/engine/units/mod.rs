//! Quantities as types: musical time, sample time, tempo, level.
//!
//! All other modules count in these, so that a tick can never be taken for a frame.

mod count;
mod decibels;
mod frames;
mod meter;
mod midi_pitch;
mod tempo;
mod ticks;
mod velocity;

pub use count::{Count, CountError};
pub use decibels::Decibels;
pub(crate) use frames::offset;
pub use frames::{Frames, SampleRate};
pub use meter::{Meter, MeterError, Meters};
pub use midi_pitch::{MidiPitch, MidiPitchError};
pub use tempo::{Bpm, Tempo, TempoError, scaled_micros_to_frames};
pub use ticks::Ticks;
pub use velocity::Velocity;

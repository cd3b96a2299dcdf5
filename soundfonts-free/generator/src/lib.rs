//! Computes the embedded SoundFont of Countoff: no sample was taken from
//! anywhere.
//!
//! ```text
//! piano, electric_piano, bass, kit, …  ──>  bank  ──>  sf2  ──>  countoff-trio.sf2
//!       (physics, built with dsp)        (presets)   (bytes)
//! ```
//!
//! Each instrument is a function from nothing to an [`sf2::Instrument`];
//! [`bank::trio`] puts them under their General MIDI presets. The same sources
//! give the same bytes on every platform (see [`dsp`]).

pub mod bank;
pub mod bass;
pub mod clicks;
pub mod curve;
pub mod dsp;
pub mod electric_piano;
pub mod envelope;
pub mod flute;
pub mod headroom;
pub mod kit;
pub mod levels;
pub mod piano;
pub mod pictures;
pub mod sf2;
pub mod vibraphone;

//! Signal tools that every instrument is built with.
//!
//! All arithmetic is plain `f64` in a fixed order, and every transcendental
//! function comes from the `libm` crate through [`maths`], so that the same
//! sources give the same bytes on every platform.

pub mod complex;
pub mod fft;
pub mod filter;
pub mod loudness;
pub mod maths;
pub mod modes;
pub mod noise;
pub mod resample;
pub mod sustain_loop;
pub mod window;

/// Sample rate at which all instruments are computed, in hertz. Finished
/// samples may be stored at a lower one.
pub const RATE: f64 = 44_100.0;

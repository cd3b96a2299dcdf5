//! Loudness and true peak, block by block and at the speed of the mix.

mod k_filter;
mod loudness;
mod true_peak;

pub use loudness::{Loudness, LoudnessMeter};
pub use true_peak::TruePeakMeter;
pub(in crate::mix) use true_peak::{Detector, LOOKAHEAD as INTERPOLATOR_LOOKAHEAD};

//! Loudness and true peak, block by block and at the speed of the mix.

mod hops;
mod k_filter;
mod loudness;
mod part_and_whole;
mod true_peak;

pub use loudness::{Loudness, LoudnessMeter};
pub(in crate::mix) use part_and_whole::PartAndWhole;
pub use true_peak::TruePeakMeter;
pub(in crate::mix) use true_peak::{Detector, LOOKAHEAD as INTERPOLATOR_LOOKAHEAD};

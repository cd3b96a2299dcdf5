//! Loudness and true peak, block by block and at the speed of the mix.

mod hops;
mod interpolator;
mod k_filter;
mod loudness;
mod part_and_whole;
mod true_peak;

pub(in crate::mix) use interpolator::LOOKAHEAD as INTERPOLATOR_LOOKAHEAD;
pub use loudness::{Loudness, LoudnessMeter};
pub(in crate::mix) use part_and_whole::PartAndWhole;
pub(in crate::mix) use true_peak::Detector;
pub use true_peak::TruePeakMeter;

//! Plays performances with a SoundFont, and mixes them.
//!
//! [`sound::Sounds`] gives the stems of a [`performance::Performance`], [`mix::render`] sums and levels
//! them. It knows nothing of lessons, charts and styles. A crate of its own, because this is what is
//! hot: it is optimised in every build, and the rest, which is much more code, need not be.
//!
//! The modules, in the order in which they may use each other:

pub mod units;

pub mod simd;

pub mod content_hash;

pub mod visible;

pub mod random;

pub mod performance;

pub mod sound;

pub mod mix;

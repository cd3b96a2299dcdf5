//! Countoff: one lesson file in, a whole set of practice audio out.
//!
//! ```text
//! lesson.toml ──> plan ──> takes
//!    chart ──> arrange ──> part ──> feel ──> performance ──┬──> MIDI
//!                                                           └──> sound ──> mix ──> deliver
//! ```
//!
//! Each arrow is one function from values to values. The rooms, in the order in which they may
//! know each other:

pub mod units;

pub mod random;

pub mod problem;

pub mod theory;

pub mod codec;

pub mod chart;

pub mod arrange;

pub mod style;

pub mod part;

pub mod feel;

pub mod sound;

pub mod mix;

pub mod deliver;

pub mod lesson;

pub mod plan;

pub mod render;

pub mod cli;

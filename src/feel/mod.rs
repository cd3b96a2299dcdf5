//! Notes on the grid become a performance: swing, accents, small deviations.
//!
//! `grid` moves notated times to where a player's hands fall ([`swing`] says how far),
//! `deviation` adds small random deviations, `accent` and `length` shape the notes, and
//! `tidy` sees to it that no pitch sounds twice at once.

mod accent;
mod deviation;
mod grid;
mod length;
mod perform;
mod player;
pub mod swing;
mod tidy;

#[cfg(test)]
mod tests;

use crate::performance::{Performance, PerformedNote, PerformedPart};
pub use perform::{FeelSettings, perform};

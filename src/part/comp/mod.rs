//! The comping hand or hands: which pitches, and when.
//!
//! [`voice`] chooses the pitches: for each chord all legal placements of the style's shapes, then
//! the cheapest path through them and back to the start. [`play`] strikes them in the style's
//! rhythm. Voicings do not depend on rhythm, seed or tempo, so every chorus, and every tempo of a
//! set, has the same hands.

mod candidate;
mod cost;
mod hits;
mod legal;
mod passage;
mod path;
mod phrase;
mod play;
mod settings;
mod sounding;
mod tones;
mod voice;
mod voicing;

#[cfg(test)]
mod tests;

pub use play::play;
pub use settings::{CompSettings, LineSounding};
pub use voice::voice;
pub use voicing::{Rule, VoicedNote, Voicing, VoicingWarning, Voicings};

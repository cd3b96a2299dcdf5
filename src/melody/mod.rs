//! What composing and explaining a line have in common: the chords that a line goes over,
//! techniques, the material that a technique takes from a chord, and what a note is to its chord.
//! Composing and explaining share these words and nothing else.

mod fallback;
mod form;
mod layout;
mod material;
mod pitch_set;
mod role;
mod technique;
mod tones;

#[cfg(test)]
mod tests;

pub use fallback::{Fallback, FallbackReason};
pub use form::{Form, Span};
pub use layout::{is_landing, layout};
pub use material::{Assignment, Material, Piece, Triad, TriadKind};
pub use pitch_set::PitchSet;
pub use role::{Role, Side};
pub use technique::{Technique, TechniqueError};
pub use tones::{
    blue_note, chord_tone_set, chord_tones, degree_of, key_scale, outline_tones, rubbing_eleventh,
    technique_scale,
};

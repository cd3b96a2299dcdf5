//! Pitch, chord, scale, key and harmonic function. Knows nothing of charts, styles or sound.

mod chord;
mod degree;
mod harmony;
mod key;
mod note_name;

pub use chord::{ChordSymbol, SymbolError};
pub use degree::Degree;
pub use harmony::{Function, Harmony};
pub use key::{Key, Mode};
pub use note_name::{Letter, NoteName};

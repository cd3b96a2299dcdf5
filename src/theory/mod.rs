//! Pitch, chord, scale, key and harmonic function. Knows nothing of charts, styles or sound.

mod chord;
mod degree;
mod function;
mod harmony;
mod interval;
mod key;
mod note_name;
mod pitch;
mod roman;
mod tension;

pub use chord::{Change, ChordSymbol, DegreeChange, KindError, Quality, SymbolError};
pub use degree::{Degree, DegreeError};
pub use function::analyse;
pub use harmony::{Function, Harmony};
pub use interval::Interval;
pub use key::{Key, KeyError, Mode};
pub use note_name::{Letter, NoteName, NoteNameError};
pub use pitch::Pitch;
pub use roman::{parse_chord, parse_roman};

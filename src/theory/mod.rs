//! Pitch, chord, scale, key and harmonic function. Knows nothing of charts, styles or sound.

mod chord;
mod chord_scale;
mod degree;
mod function;
mod harmony;
mod interval;
mod key;
mod note_name;
mod pitch;
mod roman;
mod scale;
mod scales;
mod tension;

pub use chord::{Change, ChordSymbol, DegreeChange, KindError, Quality, SymbolError};
pub use chord_scale::{chord_scale, line_scale};
pub use degree::{Degree, DegreeError};
pub use function::analyse;
pub use harmony::{Function, Harmony};
pub use interval::Interval;
pub use key::{Key, KeyError, Mode};
pub use note_name::{Letter, NoteName, NoteNameError};
pub use pitch::{Pitch, PitchError};
pub use roman::{parse_chord, parse_roman};
pub use scale::Scale;

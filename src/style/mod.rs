//! Styles: files that say how one part is played.
//!
//! A [`Library`] holds the texts of the built-in styles and of the user's own, by [`Shelf`];
//! [`StyleFile::read`] turns a text into a checked style or into a [`StyleError`] that points at
//! the place. The format is documented in `styles/README.md`, beside the files.

mod bass;
mod comp;
mod counts;
mod drums;
mod error;
mod library;
mod meter_fit;
mod pitch_text;
mod read;

pub use crate::units::{Count, CountError};
pub use bass::{BassHit, BassRegister, BassRhythm, BassRole, BassStyle};
pub use comp::{
    BarRhythm, ChordKind, ChordRhythm, CompStyle, Hit, PitchRange, Play, Shape, ShapeError,
    ShapeNote, Shapes, Start, StartError, StyleHand,
};
pub use drums::{
    DrumBar, DrumBarUse, DrumHit, DrumJoint, DrumStyle, Intensity, IntensityLevels, Kit, Percussion,
};
pub use error::{StyleError, UnknownStyle};
pub use library::{Library, Shelf, StyleFile};
pub use read::{Heading, Level};

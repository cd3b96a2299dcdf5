//! A score to be written: what MusicXML's elements say, as plain structs.
//!
//! Times are ticks, 960 to the quarter, which are the file's divisions too.

mod note;

use crate::units::Ticks;

use super::{HarmonyElement, KeySignature, TimeSignature};

pub use note::{Accidental, Beam, Head, NoteValue, ScoreNote, Stem, TripletPlace};

/// A whole score.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Score {
    /// The title.
    pub title: String,
    /// Who wrote or arranged it.
    pub arranger: Option<String>,
    /// The copyright line.
    pub rights: Option<String>,
    /// The program that made it, with its version.
    pub software: String,
    /// The parts, from the top of the page down.
    pub parts: Vec<ScorePart>,
}

/// One player's part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ScorePart {
    /// Its name.
    pub name: String,
    /// General MIDI program, from 0.
    pub program: u8,
    /// The measures in written order.
    pub measures: Vec<ScoreMeasure>,
}

/// One measure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ScoreMeasure {
    /// Its printed number.
    pub number: String,
    /// True for one that does not count: a pickup.
    pub implicit: bool,
    /// Whether a new line of the page begins with it.
    pub new_system: bool,
    /// What is in it, in the order in which it is written.
    pub items: Vec<Item>,
}

/// Something in a measure.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Key, meter, clefs.
    Attributes(Attributes),
    /// A bar line that is not a plain one.
    Barline(Barline),
    /// A chord symbol. Its time counts from the start of the measure.
    Harmony(HarmonyElement),
    /// Words and marks at this place.
    Direction(Direction),
    /// A note or rest.
    Note(ScoreNote),
    /// Back by so much, to write another voice.
    Backup(Ticks),
}

/// What holds from a measure on; nothing is said of what stays.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Attributes {
    /// Whether to say the divisions; the first measure of a part must.
    pub divisions: bool,
    /// The key signature.
    pub key: Option<KeySignature>,
    /// The time signature.
    pub time: Option<TimeSignature>,
    /// How many staves, where it is more than one.
    pub staves: Option<u8>,
    /// The clefs, by staff from the top.
    pub clefs: Vec<Clef>,
    /// From written to sounding pitch.
    pub transpose: Option<Transpose>,
}

/// A clef.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Clef {
    Treble,
    Bass,
}

/// From written to sounding pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Transpose {
    /// Letters, within an octave.
    pub diatonic: i8,
    /// Semitones, within an octave.
    pub chromatic: i8,
}

/// A bar line that is not a plain one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Barline {
    /// At the end of the measure; else at its start.
    pub right: bool,
    /// Light and heavy: the end of the piece.
    pub is_final: bool,
    /// Light and light: the end of a section.
    pub is_double: bool,
    /// An ending begins or stops here: for which passes, such as "1-3".
    pub ending: Option<Ending>,
    /// A repeat begins (at the start) or ends (at the end).
    pub repeat: Option<Repeat>,
}

/// An ending's bracket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ending {
    /// The passes that it is for.
    pub passes: Vec<u8>,
    /// What happens to it at this bar line.
    pub kind: EndingKind,
}

/// What happens to an ending at a bar line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "MusicXML's own words")]
pub enum EndingKind {
    Start,
    Stop,
    Discontinue,
}

/// A repeat sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Repeat {
    /// Begins.
    Forward,
    /// Ends; how often the passage is played in all, 2 or more.
    Backward(usize),
}

/// Words and marks, and what a player program should hear in them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Direction {
    /// The marks, from left to right.
    pub marks: Vec<Mark>,
    /// For players.
    pub sound: Option<SoundMark>,
}

/// One mark of a direction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mark {
    /// A rehearsal mark.
    Rehearsal(String),
    /// Words.
    Words(String),
    /// A tempo: the note that is counted, and how many a minute, in figures or words.
    Metronome {
        /// The note value of a beat.
        beat: NoteValue,
        /// Whether it has a dot.
        dotted: bool,
        /// How many.
        per_minute: String,
    },
}

/// What players should do.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SoundMark {
    /// Quarter notes a minute.
    pub tempo: Option<f64>,
    /// How eighths are played.
    pub swing: Option<Swing>,
}

/// How eighths are played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Swing {
    /// Evenly.
    Straight,
    /// The first to the second, as whole numbers: 2 to 1.
    Ratio(u32, u32),
}

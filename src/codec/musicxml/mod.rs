//! MusicXML 4.0 (W3C Music Notation Community Group): lead sheets, plain (`.musicxml`, `.xml`) or
//! compressed (`.mxl`), to plain structs; and scores, from structs of their own, to bytes.
//!
//! Written over an XML reader and writer because `musicxml` 1.1 says of an error neither measure nor
//! element, and unpacks archives without a limit.

mod archive;
mod elements;
mod harmony;
mod marks;
mod measure;
mod melody;
mod part;
pub mod score;
mod text;
mod write;

use crate::theory::NoteName;
use crate::units::{Tempo, Ticks, Velocity};

pub use melody::{Melody, MelodyError, MelodyProblem, SoundingNote};
pub use part::read;
pub use write::write;

/// What a lead sheet says: one part's measures, as written, with repeats unresolved.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LeadSheet {
    /// The title of the work or movement.
    pub title: Option<String>,
    /// The measures in written order.
    pub measures: Vec<Measure>,
    /// What was left out or moved, with its measure.
    pub warnings: Vec<String>,
    /// How many parts the score has beside this one.
    pub other_parts: usize,
}

/// One measure.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Measure {
    /// Its printed number, which need not be a number.
    pub number: String,
    /// What is written in it lasts so long; zero if nothing is.
    pub length: Ticks,
    /// Whether it counts as a measure of its own (`implicit="no"`); a pickup does not.
    pub counted: bool,
    /// A time signature that begins here.
    pub time: Option<TimeSignature>,
    /// A key signature that begins here.
    pub key: Option<KeySignature>,
    /// A rehearsal mark.
    pub rehearsal: Option<String>,
    /// A repeat begins here.
    pub repeat_start: bool,
    /// A repeat ends here, and how often the passage is played in all (2 unless it says more).
    pub repeat_end: Option<u8>,
    /// Whether that repeat is played again after a jump back (`after-jump`).
    pub repeat_after_jump: bool,
    /// Endings that begin here: `[1]`, `[1, 2]`.
    pub endings: Vec<u8>,
    /// An ending stops here.
    pub ending_stop: bool,
    /// The segno that it begins with, by its name, which may be empty.
    pub segno: Option<String>,
    /// The coda that it begins with, by its name, which may be empty.
    pub coda: Option<String>,
    /// What leads elsewhere from its end.
    pub jumps: Vec<Jump>,
    /// The tempo that it begins with, where one is given.
    pub tempo: Option<Tempo>,
    /// Chords in order of time.
    pub harmonies: Vec<HarmonyElement>,
    /// Chords that cannot be read.
    pub unread: Vec<UnreadHarmony>,
    /// From here on all notes sound so much away from what is written.
    pub transpose: Option<Transpose>,
    /// Notes of every voice in written order.
    pub notes: Vec<MelodyNote>,
}

/// What leads elsewhere from the end of a measure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Jump {
    /// Whither.
    pub kind: JumpKind,
    /// The times through in which it is taken (`time-only`). Where it is empty: the first time, if it
    /// leads back; To Coda and Fine count after a jump back.
    pub times: Vec<u8>,
}

/// A jump. Signs are known by their names, which may be empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JumpKind {
    /// Back to the beginning.
    DaCapo,
    /// Back to a segno.
    DalSegno(String),
    /// On to a coda.
    ToCoda(String),
    /// The end.
    Fine,
}

impl std::fmt::Display for JumpKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            JumpKind::DaCapo => "D.C.",
            JumpKind::DalSegno(_) => "D.S.",
            JumpKind::ToCoda(_) => "To Coda",
            JumpKind::Fine => "Fine",
        })
    }
}

/// A time signature: `3+2` over 8 is 5/8.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct TimeSignature {
    /// The number above.
    pub beats: u8,
    /// The number below.
    pub beat_type: u8,
}

/// A key signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct KeySignature {
    /// Sharps (positive) or flats (negative), -7 to 7.
    pub fifths: i8,
    /// Whether the mode says minor; many programs never say it.
    pub minor: bool,
}

/// A `harmony` element: a chord with its place in the measure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HarmonyElement {
    /// From the start of the measure.
    pub at: Ticks,
    /// The root.
    pub root: NoteName,
    /// The `kind`, one of MusicXML's 33 words; `none` is N.C.
    pub kind: String,
    /// The symbol as printed, without the root, where the file gives it.
    pub text: Option<String>,
    /// Changes to the kind.
    pub degrees: Vec<DegreeElement>,
    /// The bass under the slash.
    pub bass: Option<NoteName>,
}

/// A `harmony` element that is no chord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnreadHarmony {
    /// From the start of the measure.
    pub at: Ticks,
    /// What is wrong with it.
    pub problem: String,
}

/// A `degree` element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DegreeElement {
    /// What it does.
    pub kind: DegreeKind,
    /// `degree-value`.
    pub value: u8,
    /// `degree-alter` in semitones.
    pub alter: i8,
    /// Whether it is printed beside the kind's text; if not, the text says it already.
    pub printed: bool,
}

/// What a `degree` element does to its chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "MusicXML's own words")]
pub enum DegreeKind {
    Add,
    Alter,
    Subtract,
}

/// A note or a rest of a melody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct MelodyNote {
    /// From the start of the measure.
    pub at: Ticks,
    /// How long; zero for a grace note.
    pub length: Ticks,
    /// The pitch; `None` is a rest.
    pub pitch: Option<WrittenPitch>,
    /// Which voice it belongs to, 1 where the file says nothing.
    pub voice: u8,
    /// It begins a tie to the next note of its pitch.
    pub tie_start: bool,
    /// It ends a tie.
    pub tie_stop: bool,
    /// How loud, where a mark has said it.
    pub loudness: Option<Velocity>,
    /// Whether it carries an accent.
    pub accent: bool,
    /// Whether it is to be cut short.
    pub staccato: bool,
}

/// How far a part sounds from where it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Transpose {
    /// Letters, where the file says.
    pub steps: Option<i8>,
    /// Semitones, without whole octaves that are given apart.
    pub semitones: i8,
    /// Octaves.
    pub octaves: i8,
}

/// A written pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct WrittenPitch {
    /// Letter and accidental.
    pub step: NoteName,
    /// The octave; 4 begins at middle C.
    pub octave: i8,
}

/// Why a file is no lead sheet that can be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MusicXmlError {
    /// Not XML, or damaged.
    #[error("this is not MusicXML that can be read: {0}")]
    Damaged(String),
    /// XML, but no score.
    #[error("this is XML, but not a MusicXML score: its outermost element is `{0}`")]
    NotAScore(String),
    /// A score by measure and not by part.
    #[error(
        "this MusicXML score is ordered by time (`score-timewise`); save it as `score-partwise`"
    )]
    Timewise,
    /// No part, or no measure.
    #[error("this MusicXML score has no measures")]
    Empty,
    /// Bigger than any lead sheet.
    #[error(
        "this file is bigger than {0} megabytes when unpacked, and so no lead sheet; save only the \
         part that is meant"
    )]
    TooBig(u64),
    /// More elements, attributes or measures than any lead sheet has.
    #[error("this score has more than {most} {what}; save only the part that is meant")]
    TooMuch {
        /// How many are read.
        most: usize,
        /// Of what.
        what: &'static str,
    },
    /// The file defines entities of its own, which a score never needs.
    #[error("this file defines XML entities of its own; save it again from a notation program")]
    Entities,
    /// Something in a measure that cannot be understood.
    #[error("measure {measure}: {problem}")]
    Measure {
        /// The measure's number.
        measure: String,
        /// What is wrong in it.
        problem: String,
    },
}

//! Notes and rests as printed.

use crate::codec::musicxml::WrittenPitch;
use crate::units::Ticks;

/// A note or rest as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScoreNote {
    /// What is printed.
    pub head: Head,
    /// Whether it is struck with the note before.
    pub in_chord: bool,
    /// How long it lasts.
    pub duration: Ticks,
    /// The voice that it belongs to, from 1.
    pub voice: u8,
    /// The staff, from 1, in parts with several.
    pub staff: Option<u8>,
    /// Its value; a rest for a whole measure has none.
    pub value: Option<NoteValue>,
    /// Dots behind it.
    pub dots: u8,
    /// The accidental to print.
    pub accidental: Option<Accidental>,
    /// Three in the time of two.
    pub triplet: Option<TripletPlace>,
    /// The stem, where the program that reads it should not choose.
    pub stem: Option<Stem>,
    /// Beams, from the one nearest to the stem's end: eighths, sixteenths, ...
    pub beams: Vec<Beam>,
    /// A tie begins here.
    pub tie_start: bool,
    /// A tie ends here.
    pub tie_stop: bool,
    /// A dot above: shorter than written.
    pub staccato: bool,
    /// False for rests that only fill a voice up.
    pub printed: bool,
}

/// What is printed where a note stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Head {
    /// A note.
    Pitch(WrittenPitch),
    /// A ghost note: a cross for a head.
    Ghost(WrittenPitch),
    /// A slash: play here, what is not said.
    Slash,
    /// A rest.
    Rest,
    /// A rest for the whole measure.
    MeasureRest,
}

/// The values of notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum NoteValue {
    ThirtySecond,
    Sixteenth,
    Eighth,
    Quarter,
    Half,
    Whole,
}

impl NoteValue {
    /// All of them, the longest first.
    pub const ALL: [NoteValue; 6] = [
        NoteValue::Whole,
        NoteValue::Half,
        NoteValue::Quarter,
        NoteValue::Eighth,
        NoteValue::Sixteenth,
        NoteValue::ThirtySecond,
    ];

    /// How long it lasts without dots.
    #[must_use]
    pub const fn ticks(self) -> Ticks {
        match self {
            NoteValue::Whole => Ticks(3840),
            NoteValue::Half => Ticks(1920),
            NoteValue::Quarter => Ticks(960),
            NoteValue::Eighth => Ticks(480),
            NoteValue::Sixteenth => Ticks(240),
            NoteValue::ThirtySecond => Ticks(120),
        }
    }

    /// How many beams or flags it has.
    #[must_use]
    pub const fn beams(self) -> usize {
        match self {
            NoteValue::Whole | NoteValue::Half | NoteValue::Quarter => 0,
            NoteValue::Eighth => 1,
            NoteValue::Sixteenth => 2,
            NoteValue::ThirtySecond => 3,
        }
    }
}

/// The accidentals that may be printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Accidental {
    DoubleFlat,
    Flat,
    Natural,
    Sharp,
    DoubleSharp,
}

/// Where a note stands in its triplet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct TripletPlace {
    /// The first.
    pub starts: bool,
    /// The last.
    pub stops: bool,
    /// Whether a bracket is drawn: where no beam holds it together.
    pub bracket: bool,
}

/// A stem's direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Stem {
    Up,
    Down,
    None,
}

/// One beam at one note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "MusicXML's own words")]
pub enum Beam {
    Begin,
    Continue,
    End,
    ForwardHook,
    BackwardHook,
}

//! What can be wrong in a text.

use std::ops::Range;

use crate::problem::visible;

/// Something wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{problem}")]
pub struct AbcError {
    /// What.
    pub problem: AbcProblem,
    /// The bytes of the text that are meant.
    pub span: Range<usize>,
    /// The bar, counted from 1; 0 is the pickup.
    pub bar: u32,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum AbcProblem {
    /// A sign that ABC does not have.
    #[error("`{}` means nothing in ABC", visible(.0.encode_utf8(&mut [0; 4])))]
    UnknownSign(char),
    /// An accidental, a dot or the like without a note.
    #[error("a note is missing here")]
    NoNote,
    /// Brackets, quotes or braces that do not close.
    #[error("`{0}` is not closed")]
    NotClosed(char),
    /// A length of nothing, or beyond all measure.
    #[error("`{}` is no length of a note", visible(.0))]
    Length(String),
    /// A pitch beyond the MIDI numbers.
    #[error("this note is beyond all instruments")]
    PitchOutOfRange,
    /// A bar that is too short or too long.
    #[error("bar {bar} is {found} quarter notes long, and should be {wanted}")]
    BarLength {
        /// The bar, counted from 1.
        bar: u32,
        /// Its length in quarter notes.
        found: String,
        /// The meter's.
        wanted: String,
    },
    /// The end of a repeat without its beginning.
    #[error("it is not clear where this repeat begins")]
    Repeat,
    /// A repeat beyond all measure, or an ending that has no number.
    #[error("`{0}` is no number of times")]
    Times(String),
    /// A second voice.
    #[error("a line has one voice only")]
    Voices,
    /// A second tune.
    #[error("a line has one tune only")]
    Tunes,
    /// `>` or `<` without a note on both sides.
    #[error("`{0}` stands between two notes of one bar")]
    Broken(String),
    /// A tuplet of more notes than follow.
    #[error("this group of {wanted} has only {found}")]
    ShortTuplet {
        /// Notes that it should have.
        wanted: u32,
        /// Notes that it has.
        found: u32,
    },
    /// A tuplet that cannot be counted.
    #[error("`{0}` is no group of notes")]
    Tuplet(String),
    /// A meter that is not the chart's.
    #[error("the meter `{}` is not that of the chart, {wanted}", visible(found))]
    Meter {
        /// As written.
        found: String,
        /// The chart's.
        wanted: String,
    },
    /// A key that is none.
    #[error("`{}` is no key signature", visible(.0))]
    Key(String),
    /// A key with an instruction that would move all notes.
    #[error("`{}` is not read: write the notes as they sound", visible(.0))]
    Transposed(String),
    /// `L:` without a fraction.
    #[error("`{}` is no unit length", visible(.0))]
    UnitLength(String),
    /// Macros and symbols of one's own.
    #[error("`{0}:` is not read")]
    Field(char),
    /// Nothing to play.
    #[error("there are no notes")]
    Empty,
    /// More text, notes or bars than any line has.
    #[error("the line has more than {most} {what}")]
    TooLong {
        /// How many are read.
        most: usize,
        /// Of what.
        what: &'static str,
    },
}

impl AbcProblem {
    /// What to do about it.
    #[must_use]
    pub fn help(&self) -> &'static str {
        match self {
            AbcProblem::UnknownSign('#' | '\u{266f}') => "a sharp stands before its note: `^f`",
            AbcProblem::UnknownSign('\u{266d}') => "a flat stands before its note: `_b`",
            AbcProblem::UnknownSign(_) => {
                "notes are `C D E F G A B c d e f g a b`, rests `z`, bar lines `|`"
            }
            AbcProblem::NoNote => "an accidental or a sign stands before a note: `^c`",
            AbcProblem::NotClosed(_) => "close it, or take it out",
            AbcProblem::Length(_) => "lengths are written as `2`, `3/2`, `/2` or `/`, up to 1024",
            AbcProblem::PitchOutOfRange => "take away commas or apostrophes: `C` is middle C",
            AbcProblem::BarLength { .. } => {
                "check its lengths; only a pickup and the last bar may be short"
            }
            AbcProblem::Repeat => "write `|:` where it begins",
            AbcProblem::Times(_) => "write endings as `|1` and `:|2`, up to 9",
            AbcProblem::Voices => "write the other voice as a [[line]] of its own",
            AbcProblem::Tunes => "write the other tune as a [[line]] of its own",
            AbcProblem::Broken(_) => "write it as `c>d`, without a bar line between the two",
            AbcProblem::ShortTuplet { .. } => "`(3` takes the next three notes, chords or rests",
            AbcProblem::Tuplet(_) => {
                "`(3abc` plays three in the time of two; `(p:q:r` plays p in the time of q over r \
                 notes, from 2 to 16; groups cannot be nested"
            }
            AbcProblem::Meter { .. } => "leave M: out: the chart's meter holds",
            AbcProblem::Key(_) => "write K: as `Gm`, `Bb` or `D dorian`, or leave it out",
            AbcProblem::Transposed(_) => "leave it out",
            AbcProblem::UnitLength(_) => "write L: as `1/8`",
            AbcProblem::Field(_) => "leave it out, and write out what it stands for",
            AbcProblem::TooLong { .. } => "write it as several lines",
            AbcProblem::Empty => "write some, such as `c2 e2 g4`",
        }
    }
}

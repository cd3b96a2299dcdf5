//! The signs of ABC.

use std::ops::Range;

use super::fraction::Fraction;
use super::mark::Mark;
use super::omitted::Omitted;
use crate::theory::Letter;

/// A sign with its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Placed<'text> {
    pub(super) token: Token<'text>,
    pub(super) span: Range<usize>,
}

/// A sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Token<'text> {
    /// Notes struck together, one where there are no brackets; all lengths are multiplied.
    Strike { notes: Vec<WrittenNote>, times: Fraction },
    /// `z`, `x`: a rest, in unit lengths.
    Rest(Fraction),
    /// `Z`: a rest of whole bars.
    RestOfBars(u32),
    /// `-` after a note or chord.
    Tie,
    /// `>` and `<`: the first of two takes from the second, or gives to it; how many signs.
    Broken { first_longer: bool, signs: usize },
    /// `(p:q:r`
    Tuplet { notes: u32, in_time_of: Option<u32>, over: Option<u32> },
    /// A bar line of whatever weight.
    BarLine,
    /// A bar line with a repeat, or the number of an ending.
    Repeat(RepeatSign),
    /// `&`: another voice over the same bar.
    Overlay,
    /// A sign that says how the coming note is played.
    Mark(Mark),
    /// Something that is read over, with a warning.
    Omitted(Omitted),
    /// `K:`, `[M:…]`: a letter, and what stands behind the colon with its first byte.
    Field { letter: char, value: &'text str, value_at: usize },
    /// `%%` and what follows.
    Directive(&'text str),
}

/// `:|`, `|:`, `::`, `|1`, `:|2`, `[1,3`
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct RepeatSign {
    /// How often what stands before it is played again.
    pub(super) closes: u32,
    /// Whether what follows it is repeated.
    pub(super) opens: bool,
    /// In which times what follows it is played.
    pub(super) endings: Vec<u32>,
}

/// A note as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct WrittenNote {
    /// Semitones that its own accidental says, -2 to 2.
    pub(super) accidental: Option<i8>,
    pub(super) letter: Letter,
    /// 4 for `C`, 5 for `c`, and what commas and apostrophes make of it.
    pub(super) octave: i8,
    /// In unit lengths.
    pub(super) length: Fraction,
    /// Tied on, inside of a chord.
    pub(super) tied: bool,
    pub(super) span: Range<usize>,
}

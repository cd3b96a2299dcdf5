//! The random streams of composing: the one place that names them.
//!
//! The names are chosen, not derived, and they decide notes: a name that changes gives another line
//! from the same seed.

use std::fmt::Display;

use crate::melody::Technique;
use crate::random::Stream;
use crate::units::Ticks;

/// What chance decides in a line.
#[derive(Debug, Clone, Copy)]
pub(super) enum Choice<'a> {
    /// Which technique is shown from a time of the form on.
    Technique { at: Ticks },
    /// What a technique takes from the chord at a time of the form.
    Material { technique: Technique, at: Ticks },
    /// What a technique takes for the whole line.
    MaterialOfLine { technique: Technique },
    /// The random part of what pitches cost in a bar, counted from 0.
    Pitches { techniques: &'a str, bar: i64 },
    /// The contour that the line follows.
    Contour { techniques: &'a str },
    /// The contour of a phrase, counted from 0.
    ContourOfPhrase { techniques: &'a str, phrase: usize },
    /// How a phrase, counted from 0, takes up the one that it answers.
    Motif { techniques: &'a str, phrase: usize },
    /// Where phrases begin and end in what sounds from a time of the form on.
    Phrases { at: Ticks },
    /// The cells of the phrase that begins at a time of the form.
    Cells { at: Ticks },
}

impl Choice<'_> {
    /// The stream of this choice: named after the line, the choice, and where it is made.
    pub(super) fn stream(self, seed: u64) -> Stream {
        let names: &[&dyn Display] = match &self {
            Choice::Technique { at } => &[&"technique", &at.0],
            Choice::Material { technique, at } => &[&"material", technique, &at.0],
            Choice::MaterialOfLine { technique } => &[&"material", technique],
            Choice::Pitches { techniques, bar } => &[techniques, &"bar", bar],
            Choice::Contour { techniques } => &[techniques, &"contour"],
            Choice::ContourOfPhrase { techniques, phrase } => &[techniques, &"contour", phrase],
            Choice::Motif { techniques, phrase } => &[techniques, &"motif", phrase],
            Choice::Phrases { at } => &[&"phrases", &at.0],
            Choice::Cells { at } => &[&"cells", &at.0],
        };
        let mut all: Vec<&dyn Display> = vec![&"line"];
        all.extend_from_slice(names);
        Stream::named(seed, &all)
    }
}

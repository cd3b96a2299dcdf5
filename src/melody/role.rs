//! What a note is to its chord.

use std::fmt;

use super::Triad;
use crate::theory::{Degree, Interval, NoteName, Scale};

/// What a note of a line is to its chord. Degrees are counted from the root of the chord that is
/// named or, where none is, of the chord that sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// One of the chord's own tones.
    ChordTone {
        /// Which.
        degree: Degree,
    },
    /// What the chord's function adds to it: a ninth, or a sixth on a triad.
    Extension {
        /// Which.
        degree: Degree,
    },
    /// A step of a scale.
    ScaleStep {
        /// The scale's root.
        root: NoteName,
        /// The scale.
        scale: Scale,
        /// Counted from the scale's root.
        degree: Degree,
    },
    /// A blue note of the key.
    Blue {
        /// Counted from the key's tonic: b3, b5 or b7.
        degree: Degree,
    },
    /// A half step beside the chord tone that follows.
    Neighbour {
        /// Where the neighbour lies.
        side: Side,
        /// The chord tone, in the chord that sounds with it.
        of: Degree,
    },
    /// One of two neighbours, on either side of the chord tone that follows them.
    Enclosure {
        /// Where this one lies.
        side: Side,
        /// The chord tone, in the chord that sounds with it.
        of: Degree,
    },
    /// One of two half steps that lead in one direction into the chord tone that follows.
    Approach {
        /// Where they come from.
        side: Side,
        /// How many half steps before the chord tone: 2 or 1.
        distance: u8,
        /// The chord tone, in the chord that sounds with it.
        of: Degree,
    },
    /// A note of a seventh chord that is played as four notes.
    SeventhChord {
        /// The chord's root.
        root: NoteName,
        /// Counted from that root: 1, 3, 5 or 7, with its alteration.
        degree: Degree,
    },
    /// A note of a triad that is played as three notes.
    TriadTone {
        /// The triad.
        triad: Triad,
        /// Whether it is an upper structure: most of it are tensions of the chord.
        upper: bool,
    },
    /// A note of a stack of fourths.
    Stack {
        /// The lowest note of the stack.
        lowest: NoteName,
    },
    /// A note of a shape of four notes that comes again.
    Shape {
        /// The intervals from note to note, in semitones.
        intervals: [i8; 3],
        /// Which note of the shape, 1 to 4.
        position: u8,
    },
    /// A note of the cell 1 2 3 5.
    Cell {
        /// Which degree of the chord.
        degree: Degree,
    },
    /// A note of the arpeggio 3 5 7 9.
    NinthArpeggio {
        /// Which degree of the chord.
        degree: Degree,
    },
    /// A note between two groups, at most a step from the note that follows.
    Link,
    /// A chromatic note between two notes a whole step apart.
    Passing,
    /// A note outside the chord's scale that is nothing else.
    Outside {
        /// Counted from the chord's root.
        degree: Degree,
    },
}

/// Below or above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Side {
    Below,
    Above,
}

impl Role {
    /// The degree that it names: of the chord, of the scale, of a chord tone that it leads to.
    #[must_use]
    pub const fn degree(self) -> Option<Degree> {
        match self {
            Role::ChordTone { degree }
            | Role::Extension { degree }
            | Role::ScaleStep { degree, .. }
            | Role::Blue { degree }
            | Role::SeventhChord { degree, .. }
            | Role::Cell { degree }
            | Role::NinthArpeggio { degree }
            | Role::Outside { degree } => Some(degree),
            Role::Neighbour { of, .. } | Role::Enclosure { of, .. } | Role::Approach { of, .. } => {
                Some(of)
            }
            Role::TriadTone { .. }
            | Role::Stack { .. }
            | Role::Shape { .. }
            | Role::Link
            | Role::Passing => None,
        }
    }

    /// Its name in one word, as JSON has it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Role::ChordTone { .. } => "chord-tone",
            Role::Extension { .. } => "extension",
            Role::ScaleStep { .. } => "scale-step",
            Role::Blue { .. } => "blue-note",
            Role::Neighbour { side: Side::Below, .. } => "lower-neighbour",
            Role::Neighbour { side: Side::Above, .. } => "upper-neighbour",
            Role::Enclosure { .. } => "enclosure",
            Role::Approach { .. } => "approach",
            Role::SeventhChord { .. } => "seventh-chord",
            Role::TriadTone { .. } => "triad",
            Role::Stack { .. } => "stack",
            Role::Shape { .. } => "shape",
            Role::Cell { .. } => "cell",
            Role::NinthArpeggio { .. } => "ninth-arpeggio",
            Role::Link => "link",
            Role::Passing => "passing",
            Role::Outside { .. } => "outside",
        }
    }

    /// The role in another key: degrees stay, the roots that it names move.
    #[must_use]
    pub fn transposed(self, interval: Interval) -> Role {
        let moved = |name: NoteName| name.transpose(interval).simplified();
        match self {
            Role::ScaleStep { root, scale, degree } => {
                Role::ScaleStep { root: moved(root), scale, degree }
            }
            Role::SeventhChord { root, degree } => Role::SeventhChord { root: moved(root), degree },
            Role::TriadTone { triad, upper } => {
                Role::TriadTone { triad: Triad { root: moved(triad.root), ..triad }, upper }
            }
            Role::Stack { lowest } => Role::Stack { lowest: moved(lowest) },
            Role::ChordTone { .. }
            | Role::Extension { .. }
            | Role::Blue { .. }
            | Role::Neighbour { .. }
            | Role::Enclosure { .. }
            | Role::Approach { .. }
            | Role::Shape { .. }
            | Role::Cell { .. }
            | Role::NinthArpeggio { .. }
            | Role::Link
            | Role::Passing
            | Role::Outside { .. } => self,
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Role::ChordTone { degree } | Role::Extension { degree } => f.write_str(&named(degree)),
            Role::ScaleStep { root, scale, degree } => {
                write!(f, "step {degree} of {root} {}", scale.name)
            }
            Role::Blue { degree } => write!(f, "blue {}", numbered(degree)),
            Role::Neighbour { side: Side::Below, of } => {
                write!(f, "lower neighbour to the {}", named(of))
            }
            Role::Neighbour { side: Side::Above, of } => {
                write!(f, "upper neighbour to the {}", named(of))
            }
            Role::Enclosure { side, of } => {
                write!(f, "enclosure of the {}, {side}", named(of))
            }
            Role::Approach { side, distance, of } => {
                let steps = if distance == 1 { "one half step" } else { "two half steps" };
                write!(f, "approach to the {}, {steps} {side}", named(of))
            }
            Role::SeventhChord { root, degree } => {
                write!(f, "{} of the seventh chord on {root}", named(degree))
            }
            Role::TriadTone { triad, upper } => {
                let which = if upper { "upper triad" } else { "triad" };
                write!(f, "tone of the {which} {triad}")
            }
            Role::Stack { lowest } => write!(f, "in the fourths on {lowest}"),
            Role::Shape { intervals: [first, second, third], position } => {
                write!(f, "note {position} of the shape {first:+} {second:+} {third:+}")
            }
            Role::Cell { degree } => write!(f, "{degree} of the cell 1 2 3 5"),
            Role::NinthArpeggio { degree } => write!(f, "{degree} of the arpeggio 3 5 7 9"),
            Role::Link => f.write_str("link"),
            Role::Passing => f.write_str("chromatic passing note"),
            Role::Outside { degree } => write!(f, "{}, outside the scale", named(degree)),
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Side::Below => "below",
            Side::Above => "above",
        })
    }
}

/// A degree in words: `ninth`; with its figure where it is altered, `ninth (b9)`.
fn named(degree: Degree) -> String {
    let number = numbered(degree);
    if degree.alter == 0 { number.to_owned() } else { format!("{number} ({degree})") }
}

/// A degree's number in words.
const fn numbered(degree: Degree) -> &'static str {
    match degree.number {
        1 => "root",
        2 => "second",
        3 => "third",
        4 => "fourth",
        5 => "fifth",
        6 => "sixth",
        7 => "seventh",
        8 => "octave",
        9 => "ninth",
        10 => "tenth",
        11 => "eleventh",
        12 => "twelfth",
        _ => "thirteenth",
    }
}

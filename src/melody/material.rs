//! What a technique takes from a chord.

use std::fmt;

use super::{PitchSet, Span, Technique, chord_tones};
use crate::theory::{Harmony, Interval, NoteName, Scale};

/// Which technique goes over a span, and on what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    /// The technique.
    pub technique: Technique,
    /// Its material there.
    pub material: Material,
}

/// What a technique draws its notes from over one chord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Material {
    /// Nothing: the chord does not sound.
    Silence,
    /// A scale on a root. Seventh chords are those of this scale, fourths are counted in it.
    Scale {
        /// Where the scale begins.
        root: NoteName,
        /// Its name and degrees.
        scale: Scale,
    },
    /// Two triads in turn, and the scale that links them.
    Triads {
        /// The triads.
        pair: [Triad; 2],
        /// The chord's root.
        root: NoteName,
        /// The scale that both belong to.
        scale: Scale,
    },
    /// A shape, by the intervals from each of its four notes to the next in semitones.
    Shape {
        /// The three intervals, upwards positive.
        intervals: [i8; 3],
        /// How far it is shifted each time, in semitones, up or down.
        shift: u8,
        /// The chord's root.
        root: NoteName,
        /// The scale that it prefers to stay in.
        scale: Scale,
    },
}

impl Material {
    /// The scale that it draws on, as pitch classes.
    #[must_use]
    pub fn scale_set(&self) -> PitchSet {
        match self.scale() {
            Some((root, scale)) => scale.pitch_classes(root).into_iter().collect(),
            None => PitchSet::default(),
        }
    }

    /// The scale that it draws on, with its root.
    #[must_use]
    pub const fn scale(&self) -> Option<(NoteName, Scale)> {
        match self {
            Material::Silence => None,
            Material::Scale { root, scale }
            | Material::Triads { root, scale, .. }
            | Material::Shape { root, scale, .. } => Some((*root, *scale)),
        }
    }
}

impl fmt::Display for Material {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Material::Silence => f.write_str("silence"),
            Material::Scale { root, scale } => write!(f, "{root} {}", scale.name),
            Material::Triads { pair: [first, second], root, scale } => {
                write!(f, "{first} and {second} of {root} {}", scale.name)
            }
            Material::Shape { intervals: [first, second, third], shift, .. } => {
                write!(f, "the shape {first:+} {second:+} {third:+} shifted by {shift}")
            }
        }
    }
}

/// A triad: `Eb`, `Gm`, `Baug`, `F#dim`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Triad {
    /// Its root.
    pub root: NoteName,
    /// Its kind.
    pub kind: TriadKind,
}

/// The four kinds of triads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum TriadKind {
    Major,
    Minor,
    Augmented,
    Diminished,
}

impl TriadKind {
    /// All of them, the plainest first.
    pub const ALL: [TriadKind; 4] =
        [TriadKind::Major, TriadKind::Minor, TriadKind::Augmented, TriadKind::Diminished];

    /// Semitones of third and fifth above the root.
    #[must_use]
    pub const fn semitones(self) -> [u8; 3] {
        match self {
            TriadKind::Major => [0, 4, 7],
            TriadKind::Minor => [0, 3, 7],
            TriadKind::Augmented => [0, 4, 8],
            TriadKind::Diminished => [0, 3, 6],
        }
    }
}

impl Triad {
    /// Whether two of its tones or more are tensions of a chord: neither root, third, natural fifth nor
    /// seventh.
    #[must_use]
    pub fn is_upper(self, harmony: &Harmony) -> bool {
        let own =
            chord_tones(harmony).into_iter().filter(|tone| tone.number != 5 || tone.alter == 0);
        let own: PitchSet = own.map(|tone| harmony.pitch_class(tone)).collect();
        self.set().and(own).count() <= 1
    }

    /// The name that a pitch has as one of its tones.
    #[must_use]
    pub fn note(self, pitch: u8) -> Option<NoteName> {
        let above = (pitch % 12 + 12 - self.root.pitch_class()) % 12;
        let tone = self.kind.semitones().iter().position(|&semitones| semitones == above)?;
        let third_and_fifth = [0, 2, 4];
        let interval =
            Interval { steps: *third_and_fifth.get(tone)?, semitones: above.cast_signed() };
        Some(self.root.transpose(interval))
    }

    /// Its pitch classes.
    #[must_use]
    pub fn set(self) -> PitchSet {
        let root = self.root.pitch_class();
        self.kind.semitones().into_iter().map(|semitones| root + semitones).collect()
    }
}

impl fmt::Display for Triad {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = match self.kind {
            TriadKind::Major => "",
            TriadKind::Minor => "m",
            TriadKind::Augmented => "aug",
            TriadKind::Diminished => "dim",
        };
        write!(f, "{}{kind}", self.root)
    }
}

/// A chord, or silence, with the technique that a line shows over it. A long chord may be in
/// several pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The chord and its time.
    pub span: Span,
    /// What the line shows there.
    pub assignment: Assignment,
}

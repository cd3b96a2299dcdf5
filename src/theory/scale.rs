//! Scales.

use super::{Degree, NoteName};

/// A scale: its name and its degrees, ascending from the root.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Scale {
    /// The name, in lower case.
    pub name: &'static str,
    /// The degrees, numbers 1 to 7, ascending; the root first. Eight-note scales have a number
    /// twice.
    pub degrees: &'static [Degree],
}

impl Scale {
    pub(super) const fn new(name: &'static str, degrees: &'static [Degree]) -> Scale {
        Scale { name, degrees }
    }

    /// The scale of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Scale> {
        Scale::ALL.into_iter().find(|scale| scale.name == name)
    }

    /// Semitones above the root, ascending, 0 to 11.
    pub fn semitones(self) -> impl Iterator<Item = u8> {
        self.degrees.iter().map(|degree| degree.pitch_class())
    }

    /// The pitch classes on a root, in the order of the scale.
    #[must_use]
    pub fn pitch_classes(self, root: NoteName) -> Vec<u8> {
        self.semitones().map(|semitones| (root.pitch_class() + semitones) % 12).collect()
    }

    /// The note names on a root, in the order of the scale.
    #[must_use]
    pub fn notes(self, root: NoteName) -> Vec<NoteName> {
        self.degrees.iter().map(|degree| root.transpose(degree.interval())).collect()
    }

    /// Whether a degree's pitch belongs to the scale, however it is spelled: `#11` as `b5`.
    #[must_use]
    pub fn contains(self, degree: Degree) -> bool {
        self.semitones().any(|semitones| semitones == degree.pitch_class())
    }

    /// The scale's own spelling of a pitch class above the root; `None` if it is not in the scale.
    #[must_use]
    pub fn degree_at(self, semitones: u8) -> Option<Degree> {
        self.degrees.iter().copied().find(|degree| degree.pitch_class() == semitones % 12)
    }
}

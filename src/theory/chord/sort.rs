//! What sort of chord a suffix says it is, however the rest of it is written.

use super::spelling::{Base, Extension};
use super::suffix::{first_number, first_word, has_major_seventh};

/// The sorts between which no suggestion changes: another would be other harmony.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sort {
    Triad,
    Sixth,
    Dominant,
    Major,
    Minor,
    MinorMajor,
    HalfDiminished,
    Diminished,
    Augmented,
    Suspended,
}

impl Sort {
    /// By its first word, number or sign; `None` where that says nothing, or two things: `mj7` may be
    /// `maj7` or `m(maj7)`.
    pub(super) fn of(suffix: &str) -> Option<Sort> {
        if suffix.to_lowercase().contains("sus") {
            return Some(Sort::Suspended);
        }
        let (base, length) = first_word(suffix);
        let rest = &suffix[length..];
        Some(match base {
            Base::Major | Base::Delta => Sort::Major,
            Base::Minor if rest.starts_with(['j', 'A']) => return None,
            Base::Minor if has_major_seventh(rest) => Sort::MinorMajor,
            Base::Minor => Sort::Minor,
            Base::Diminished => Sort::Diminished,
            Base::HalfDiminished => Sort::HalfDiminished,
            Base::Augmented => Sort::Augmented,
            Base::Dominant => Sort::Dominant,
            Base::Plain => match first_number(rest).0 {
                Extension::Seventh
                | Extension::Ninth
                | Extension::Eleventh
                | Extension::Thirteenth => Sort::Dominant,
                Extension::Sixth | Extension::SixthNinth => Sort::Sixth,
                Extension::Power => Sort::Triad,
                Extension::None if rest.starts_with("alt") => Sort::Dominant,
                Extension::None
                    if ["add", "no", "omit", "("].iter().any(|word| rest.starts_with(word)) =>
                {
                    Sort::Triad
                }
                Extension::None => return None,
            },
        })
    }
}

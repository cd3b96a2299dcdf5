//! What is wrong with a chord symbol, and what may have been meant.

use super::sort::Sort;
use crate::problem::visible;

/// Why a text is no chord symbol.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct SymbolError {
    /// What is wrong, in a sentence without a full stop.
    pub message: String,
    /// The bytes of the text that are meant.
    pub span: std::ops::Range<usize>,
    /// The nearest symbol of the same kind; never one of another, which would be other harmony.
    pub suggestion: Option<String>,
}

impl SymbolError {
    /// What to do, in a sentence without a full stop: the suggestion, or what kinds there are.
    #[must_use]
    pub fn help(&self) -> String {
        self.suggestion.as_ref().map_or_else(
            || {
                "kinds of chord are maj7, 6, 7, m7, m6, m(maj7), m7b5, dim7, 7sus4, 7alt and the triads; \
                 9, 11 or 13 may stand for the 7, and b5, #5, b9, #9, #11, b13 behind it"
                    .to_owned()
            },
            |symbol| format!("did you mean `{symbol}`?"),
        )
    }
}

/// The longest text that is looked at, in bytes. The longest symbol anybody writes has about 20.
const LONGEST: usize = 80;

/// What is wrong with a text, and where in it, before anyone has asked what was meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ReadError {
    pub(crate) message: String,
    pub(crate) span: std::ops::Range<usize>,
}

impl ReadError {
    /// The same in a longer text, in which this one begins at `at`.
    pub(crate) fn moved(self, at: usize) -> ReadError {
        ReadError { span: self.span.start + at..self.span.end + at, ..self }
    }

    pub(crate) fn suggesting(self, suggestion: Option<String>) -> SymbolError {
        let message = visible(&self.message).into_owned();
        // A longer suffix may make a text too long to be read.
        let suggestion = suggestion.filter(|text| text.len() <= LONGEST);
        SymbolError { message, span: self.span, suggestion }
    }
}

impl SymbolError {
    /// Refuses texts that are far too long for a chord.
    pub(crate) fn check_length(text: &str) -> Result<(), SymbolError> {
        if text.len() <= LONGEST {
            return Ok(());
        }
        Err(SymbolError {
            message: format!("a chord of {} bytes is too long to be one", text.len()),
            span: 0..text.len(),
            suggestion: None,
        })
    }
}

/// What follows the root in the symbols that are suggested, the commoner first.
pub(crate) const SUFFIXES: [&str; 70] = [
    "7",
    "m7",
    "maj7",
    "m7b5",
    "dim7",
    "6",
    "m6",
    "m",
    "9",
    "m9",
    "maj9",
    "13",
    "7b9",
    "7alt",
    "7sus4",
    "7#11",
    "7#9",
    "7b13",
    "7#5",
    "7b5",
    "6/9",
    "m6/9",
    "dim",
    "aug",
    "sus4",
    "sus2",
    "add9",
    "m(maj7)",
    "m11",
    "maj7#11",
    "maj13",
    "9sus4",
    "13sus4",
    "13b9",
    "13#11",
    "9#11",
    "7b9b13",
    "7#9b13",
    "7b9#11",
    "7#5#9",
    "7#5b9",
    "m13",
    "11",
    "maj7#5",
    "maj7b5",
    "maj9#11",
    "m7#5",
    "m9b5",
    "m11b5",
    "dim(maj7)",
    "madd9",
    "add11",
    "add2",
    "7b5b9",
    "7b5#9",
    "9b13",
    "9b5",
    "9#5",
    "7b9#9",
    "7#9#11",
    "13#9",
    "13b9#11",
    "13b5",
    "7sus2",
    "7sus4b9",
    "m7add11",
    "m7b9",
    "m(maj9)",
    "maj13#11",
    "5",
];

/// The suffix nearest to what was written, the first of those equally near, with its distance; only one
/// of the same sort, and none where even the nearest shares nothing with it. Case matters here as
/// nowhere else: `M7` is not `m7`.
pub(crate) fn nearest_suffix<'s>(
    written: &str,
    suffixes: impl IntoIterator<Item = &'s str>,
) -> Option<(usize, &'s str)> {
    let length = written.chars().count();
    let sort = Sort::of(written)?;
    let mut nearest: Option<(usize, &str)> = None;
    for suffix in suffixes.into_iter().filter(|suffix| Sort::of(suffix) == Some(sort)) {
        // No nearer than by the letters that one has more than the other.
        let at_least = length.abs_diff(suffix.chars().count());
        if nearest.is_none_or(|(distance, _)| at_least < distance) {
            let distance = strsim::damerau_levenshtein(written, suffix);
            if nearest.is_none_or(|(nearest, _)| distance < nearest) {
                nearest = Some((distance, suffix));
            }
        }
    }
    nearest.filter(|(distance, suffix)| *distance < length.max(suffix.chars().count()))
}

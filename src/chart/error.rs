//! What can be wrong with a chart, where, and what to do about it.

use std::fmt;
use std::ops::Range;

use crate::problem::visible;
use crate::theory::SymbolError;
use crate::units::Meter;

/// Something wrong with a chart, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChartError {
    /// Which text is meant, and which bar of it.
    pub place: Place,
    /// The bytes that are meant, in the text of [`ChartError::place`]: the section's, or the
    /// form's. Empty where the whole chart is meant.
    pub span: Range<usize>,
    /// What is wrong.
    pub problem: Problem,
}

/// Which of a chart's texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A section's bars.
    Section {
        /// Its name.
        name: String,
        /// The bar as written in the section, counted from 1, where one is meant.
        bar: Option<u32>,
    },
    /// The form.
    Form,
    /// The form of the last chorus.
    Last,
    /// What is other in the section of this name.
    Within(String),
    /// The hits of the section of this name.
    Hits(String),
    /// The chart as a whole.
    Chart,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Problem {
    /// There are no bars at all.
    #[error("there are no bars")]
    NoBars,
    /// Longer than anything that is played.
    #[error("the chart is longer than {0} bars")]
    TooLong(usize),
    /// More text than any chart needs.
    #[error("the chart is a text of {bytes} bytes, and at most {most} are read")]
    TooMuchText {
        /// How many bytes its sections have.
        bytes: usize,
        /// How many are read.
        most: usize,
    },
    /// A section whose name cannot be shown.
    #[error("the section's name `{0}` has a sign that cannot be shown")]
    SectionName(String),
    /// Nothing between two bar lines.
    #[error("nothing stands between these bar lines")]
    EmptyBar,
    /// Signs that make no bar line.
    #[error("`{0}` is no bar line")]
    BarLine(String),
    /// No chord that is known.
    #[error(transparent)]
    Chord(#[from] SymbolError),
    /// Chords without slash notation that cannot share the bar.
    #[error("{chords} chords do not share the {beats} beats of a bar of {meter} evenly")]
    Uneven {
        /// How many there are.
        chords: usize,
        /// How many beats there are.
        beats: u8,
        /// The chart's meter.
        meter: Meter,
        /// The bar in slash notation as it may be meant, where the chords can fit.
        example: Option<String>,
    },
    /// Slash notation with too few or too many beats.
    #[error("this bar has {tokens} beats, a bar of {meter} has {beats}")]
    Beats {
        /// How many there are.
        tokens: usize,
        /// How many there should be.
        beats: u8,
        /// The chart's meter.
        meter: Meter,
    },
    /// A simile sign together with something else.
    #[error("a bar with `%` repeats the bar before it and holds nothing else")]
    SimileNotAlone,
    /// A simile sign, or a slash, with nothing before it.
    #[error("there is no bar before this one to go on from")]
    NothingBefore,
    /// `|:` without `:|`.
    #[error("the repeat that begins here is never closed")]
    RepeatUnclosed,
    /// `:|` without `|:`, after another repeat.
    #[error("the repeat that ends here begins nowhere")]
    RepeatUnopened,
    /// `1.` in the middle of a bar.
    #[error("an ending's number stands at the start of its bar")]
    EndingInsideBar,
    /// `0.` or `12.`.
    #[error("an ending's number is between 1 and {}", super::MOST_PASSES)]
    EndingNumber,
    /// An ending before the last without `:|`.
    #[error("this ending does not lead back")]
    EndingOpen,
    /// A pass without an ending.
    #[error("the repeat has no ending {0}")]
    EndingMissing(u8),
    /// A pass with two endings.
    #[error("the repeat has more than one ending {0}")]
    EndingTwice(u8),
    /// Several sections and nothing that says how they follow each other.
    #[error("a chart with more than one section needs a form")]
    FormMissing(String),
    /// A form with nothing in it.
    #[error("the form names no section")]
    FormEmpty,
    /// No count of the meter.
    #[error("`{}` is no count of a bar of {meter}", visible(word))]
    Hit {
        /// As written.
        word: String,
        /// The section's meter.
        meter: Meter,
    },
    /// Counts that do not go on.
    #[error("a hit stands behind a later one")]
    HitsOrder,
    /// `.` or `%` with something else in its bar.
    #[error("`.` and `%` stand alone in their bar")]
    HitsNotAlone,
    /// Hits in bars that the section has not.
    #[error("there are hits for {bars} bars, and the section has {section}")]
    TooManyHits {
        /// How many bars of hits.
        bars: usize,
        /// How many bars the section has.
        section: usize,
    },
    /// A form that names a section which does not exist.
    #[error("there is no section `{name}`")]
    UnknownSection {
        /// As the form says.
        name: String,
        /// The nearest name that exists, where one comes near.
        suggestion: Option<String>,
        /// All names that exist.
        known: Vec<String>,
    },
}

impl ChartError {
    /// What to do about it, in a sentence without a full stop.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        let fixed = match &self.problem {
            Problem::NoBars => "write its chords between bar lines: `| Am7b5 | D7b9 | Gm6 | % |`",
            Problem::TooLong(_) | Problem::TooMuchText { .. } => {
                "write a chorus once; how often it is played is the track's `choruses`"
            }
            Problem::SectionName(_) => "name it by a letter or a word",
            Problem::EmptyBar => "write `%` to repeat the bar before, or `N.C.` for silence",
            Problem::BarLine(_) => "bar lines are `|`, `||`, `|]`, `|:` and `:|`",
            Problem::SimileNotAlone => "for a beat that goes on, write `/`",
            Problem::NothingBefore => "write the chord",
            Problem::RepeatUnclosed => "write `:|` where it ends",
            Problem::RepeatUnopened => "write `|:` where it begins",
            Problem::EndingOpen => "write `:|` at its end; only the last ending goes on",
            Problem::EndingMissing(_) => "every time through needs its ending: `1. … :| 2. …`",
            Problem::Chord(error) => return Some(error.help()),
            Problem::Uneven { example: Some(example), .. } => {
                return Some(format!("say which beats with `/`, one token a beat: `{example}`"));
            }
            Problem::Uneven { example: None, .. } => "a beat holds one chord at most",
            Problem::Beats { .. } => "with `/`, every chord and every `/` is one beat",
            Problem::FormMissing(example) => return Some(format!("add `form = \"{example}\"`")),
            Problem::UnknownSection { suggestion: Some(name), .. } => {
                return Some(format!("did you mean `{name}`?"));
            }
            Problem::UnknownSection { suggestion: None, known, .. } => {
                return Some(format!("the chart has {}", known.join(", ")));
            }
            Problem::Hit { .. } => {
                "write counts, such as `1 2& 4&`; `_` behind one holds it, `>` takes the coming chord"
            }
            Problem::HitsOrder => "write them in the order in which they are played",
            Problem::HitsNotAlone => "`.` is a bar as always, `%` one like the bar before",
            Problem::TooManyHits { .. } => {
                "write at most one bar of hits for each of the section's"
            }
            Problem::EndingInsideBar
            | Problem::EndingNumber
            | Problem::EndingTwice(_)
            | Problem::FormEmpty => return None,
        };
        Some(fixed.to_owned())
    }
}

impl fmt::Display for ChartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            Place::Section { name, bar: Some(bar) } => {
                write!(f, "section {}, bar {bar}: {}", visible(name), self.problem)
            }
            Place::Section { name, bar: None } => {
                write!(f, "section {}: {}", visible(name), self.problem)
            }
            Place::Form => write!(f, "form: {}", self.problem),
            Place::Last => write!(f, "last: {}", self.problem),
            Place::Within(name) => write!(f, "within {}: {}", visible(name), self.problem),
            Place::Hits(name) => write!(f, "hits of {}: {}", visible(name), self.problem),
            Place::Chart => write!(f, "{}", self.problem),
        }
    }
}

impl std::error::Error for ChartError {}

/// A problem and the bytes that are meant, before its section and bar are known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) span: Range<usize>,
    pub(super) problem: Problem,
}

impl Found {
    pub(super) fn at(span: Range<usize>, problem: Problem) -> Found {
        Found { span, problem }
    }
}

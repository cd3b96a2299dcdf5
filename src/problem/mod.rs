//! What is wrong with a text that somebody wrote, where, and what to do about it.

mod internal;
mod nearest;
mod toml_text;

pub(crate) use countoff_engine::visible::is_invisible;
pub use countoff_engine::visible::visible;
pub use internal::InternalError;
pub use nearest::nearest;
pub(crate) use toml_text::of_error;
pub use toml_text::read_toml;

use std::ops::Range;
use std::sync::Arc;

/// Something wrong in a file, with the place and a way out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Problem {
    /// What is wrong, in a sentence without a full stop.
    pub message: String,
    /// The bytes that are meant.
    pub span: Range<usize>,
    /// What to say under the pointer; may be empty.
    pub label: String,
    /// What to do; may be empty.
    pub help: String,
}

impl Problem {
    /// A problem without a label and help.
    #[must_use]
    pub fn new(message: impl Into<String>, span: Range<usize>) -> Problem {
        Problem { message: message.into(), span, label: String::new(), help: String::new() }
    }

    /// The same with words under the pointer.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Problem {
        self.label = label.into();
        self
    }

    /// The same with a way out.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Problem {
        self.help = help.into();
        self
    }
}

/// What is wrong with a file, in the order in which it was found. More than
/// [`MOST`](ProblemList::MOST) problems are only counted: whoever reads them has enough to do.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ProblemList {
    problems: Vec<Problem>,
    more: usize,
}

impl ProblemList {
    /// How many problems are described.
    pub const MOST: usize = 20;

    /// Whether further problems are only counted.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.problems.len() >= Self::MOST
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// The problems that are described.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.problems.iter()
    }

    /// Notes a problem; `problem` is called only where it will be described.
    pub fn push_with(&mut self, problem: impl FnOnce() -> Problem) {
        if self.is_full() {
            self.more += 1;
        } else {
            self.problems.push(problem());
        }
    }

    /// Notes a problem.
    pub fn push(&mut self, problem: Problem) {
        self.push_with(|| problem);
    }

    /// All of them, in the order of the text, as the problems of a file.
    #[must_use]
    pub fn of_file(mut self, name: &str, text: &str) -> Problems {
        self.problems.sort_by_key(|problem| problem.span.start);
        Problems {
            name: name.to_owned(),
            text: text.into(),
            problems: self.problems,
            more: self.more,
        }
    }
}

impl From<Problem> for ProblemList {
    fn from(problem: Problem) -> ProblemList {
        ProblemList { problems: vec![problem], more: 0 }
    }
}

/// All that is wrong with one file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{name}: {}", problems.iter().map(|problem| problem.message.as_str()).collect::<Vec<_>>().join("; "))]
pub struct Problems {
    /// The file's name as the user knows it.
    pub name: String,
    /// Its text.
    pub text: Arc<str>,
    /// At least one problem, in the order of the text.
    pub problems: Vec<Problem>,
    /// How many more there are that are not described.
    pub more: usize,
}

/// A text as messages quote it: its invisible signs escaped, and cut where it is long.
#[must_use]
pub fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let cut = text.char_indices().nth(LONGEST).map(|(at, _)| at);
    let shown = visible(cut.map_or(text, |at| &text[..at]));
    if cut.is_some() { format!("{shown}…") } else { shown.into_owned() }
}

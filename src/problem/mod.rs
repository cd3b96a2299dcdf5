//! What is wrong with a text that somebody wrote, where, and what to do about it.

mod internal;
mod nearest;
mod toml_text;
mod visible;

pub use internal::InternalError;
pub use nearest::nearest;
pub use toml_text::read_toml;
pub(crate) use visible::is_invisible;
pub use visible::visible;

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

/// All that is wrong with one file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{name}: {}", problems.iter().map(|problem| problem.message.as_str()).collect::<Vec<_>>().join("; "))]
pub struct Problems {
    /// The file's name as the user knows it.
    pub name: String,
    /// Its text.
    pub text: Arc<str>,
    /// At least one problem.
    pub problems: Vec<Problem>,
}

//! What can be wrong with a style.

use std::ops::Range;
use std::sync::Arc;

use miette::{NamedSource, SourceSpan};

/// A style file says something that it may not say.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, miette::Diagnostic)]
#[error("{message}")]
pub struct StyleError {
    /// What is wrong, in a sentence without a full stop.
    pub message: String,
    /// The whole file, under the name that the user knows it by.
    #[source_code]
    pub text: Arc<NamedSource<String>>,
    /// The bytes of the file that are meant.
    #[label("here")]
    pub span: SourceSpan,
    /// What to write instead.
    #[help]
    pub help: Option<String>,
}

impl StyleError {
    /// The bytes of the file that are meant.
    #[must_use]
    pub fn range(&self) -> Range<usize> {
        self.span.offset()..self.span.offset() + self.span.len()
    }

    /// Line and column of the place, both counted from 1; the column counts characters.
    #[must_use]
    pub fn line_and_column(&self) -> (usize, usize) {
        let text = self.text.inner();
        let before = text.get(..self.span.offset()).unwrap_or(text);
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// The text that is underlined.
    #[must_use]
    pub fn underlined(&self) -> &str {
        self.text.inner().get(self.range()).unwrap_or_default()
    }
}

/// No style of this name is on the shelf.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, miette::Diagnostic)]
#[error("there is no {shelf} style named `{name}`")]
pub struct UnknownStyle {
    /// Where it was looked for: `comp`, `bass` or `drums`.
    pub shelf: super::Shelf,
    /// The name as asked for.
    pub name: String,
    /// What there is, and the nearest name.
    #[help]
    pub help: String,
    /// The nearest name that exists.
    pub suggestion: Option<String>,
}

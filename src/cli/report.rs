//! One thing that went wrong, as it is shown: to people with its place in their file, to other
//! programs as JSON.

use std::ops::Range;
use std::sync::Arc;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use miette::Diagnostic;
use serde::Serialize;

use super::escape::escaped;
use crate::problem::Problem;

/// One thing that went wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Report {
    message: String,
    help: Option<String>,
    /// What the message follows from, the nearest cause first.
    causes: Vec<String>,
    place: Option<Place>,
}

/// A place in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    file: String,
    /// The text, or as much of it as is around the place.
    text: Arc<str>,
    /// The number of its first line.
    first_line: usize,
    /// The bytes of it that are meant.
    span: Range<usize>,
    /// What stands at the pointer; may be empty.
    label: String,
}

/// A report as other programs get it.
#[derive(Debug, Serialize)]
pub(super) struct ReportEntry<'a> {
    message: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<&'a str>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    causes: &'a [String],
    #[serde(flatten)]
    place: Option<PlaceEntry<'a>>,
}

#[derive(Debug, Serialize)]
struct PlaceEntry<'a> {
    file: &'a str,
    /// From 1.
    line: usize,
    /// In characters, from 1.
    column: usize,
    #[serde(skip_serializing_if = "str::is_empty")]
    label: &'a str,
}

impl Report {
    /// A message, in a sentence without a full stop.
    pub(super) fn new(message: impl Into<String>) -> Report {
        Report { message: message.into(), help: None, causes: Vec::new(), place: None }
    }

    /// The same with what to do about it.
    pub(super) fn help(self, help: impl Into<String>) -> Report {
        Report { help: Some(help.into()), ..self }
    }

    /// What an error of the library says of itself.
    pub(super) fn of(error: &dyn Diagnostic) -> Report {
        let causes = std::iter::successors(error.source(), |cause| cause.source());
        Report {
            message: error.to_string(),
            help: error.help().map(|help| help.to_string()),
            causes: causes.map(ToString::to_string).collect(),
            place: Place::of(error),
        }
    }

    /// What is wrong with a text that is read from a file of this name.
    pub(super) fn in_text(problem: Problem, file: &str, text: &Arc<str>) -> Report {
        let Problem { message, span, label, help } = problem;
        let place =
            Place { file: file.to_owned(), text: Arc::clone(text), first_line: 1, span, label };
        let help = Some(help).filter(|help| !help.is_empty());
        Report { message, help, causes: Vec::new(), place: Some(place) }
    }

    /// For people.
    pub(super) fn shown(&self, colours: bool) -> String {
        let renderer = if colours { Renderer::styled() } else { Renderer::plain() };
        let mut group = Group::with_title(Level::ERROR.primary_title(escaped(&self.message)));
        if let Some(place) = &self.place {
            group = group.element(place.snippet());
        }
        group = group.elements(self.causes.iter().map(|cause| Level::NOTE.message(escaped(cause))));
        group = group.elements(self.help.iter().map(|help| Level::HELP.message(escaped(help))));
        renderer.render(&[group])
    }

    /// For other programs.
    pub(super) fn entry(&self) -> ReportEntry<'_> {
        ReportEntry {
            message: &self.message,
            help: self.help.as_deref(),
            causes: &self.causes,
            place: self.place.as_ref().map(Place::entry),
        }
    }
}

impl<T: Into<String>> From<T> for Report {
    fn from(message: T) -> Report {
        Report::new(message)
    }
}

impl Place {
    /// The first place that an error points at.
    fn of(error: &dyn Diagnostic) -> Option<Place> {
        let label = error.labels()?.next()?;
        let around = error.source_code()?.read_span(label.inner(), 1, 1).ok()?;
        let from = label.offset().checked_sub(around.span().offset())?;
        Some(Place {
            file: around.name().unwrap_or_default().to_owned(),
            text: String::from_utf8_lossy(around.data()).into(),
            first_line: around.line() + 1,
            span: from..from + label.len(),
            label: label.label().unwrap_or_default().to_owned(),
        })
    }

    /// The line that is meant: where it begins and ends, and what of it is meant.
    fn line(&self) -> (Range<usize>, Range<usize>) {
        let within = |at: usize| {
            (0..=at.min(self.text.len())).rev().find(|at| self.text.is_char_boundary(*at))
        };
        let start = within(self.span.start).unwrap_or(0);
        let from = self.text[..start].rfind('\n').map_or(0, |newline| newline + 1);
        let to = self.text[start..].find('\n').map_or(self.text.len(), |newline| start + newline);
        let to = if self.text[start..to].ends_with('\r') { to - 1 } else { to };
        let end = within(self.span.end).unwrap_or(start);
        (from..to, start..end.clamp(start, to))
    }

    fn snippet(&self) -> Snippet<'_, annotate_snippets::Annotation<'_>> {
        let (line, meant) = self.line();
        let text = &*self.text;
        let before = line
            .start
            .checked_sub(1)
            .map(|end| text[..end].rsplit('\n').next().unwrap_or_default().trim_end_matches('\r'));
        let after = text[line.end..].split('\n').nth(1).map(|next| next.trim_end_matches('\r'));
        // Escapes are longer than what they stand for, so places are counted in what is shown.
        let mut shown = String::new();
        let mut add = |text: &str| {
            let from = shown.len();
            shown.push_str(&escaped(text));
            from..shown.len()
        };
        let mut neighbours = Vec::new();
        if let Some(before) = before {
            neighbours.push(add(before));
            add("\n");
        }
        add(&text[line.start..meant.start]);
        let pointer = add(&text[meant.clone()]);
        add(&text[meant.end..line.end]);
        if let Some(after) = after {
            add("\n");
            neighbours.push(add(after));
        }
        let numbers = self.first_line + text[..line.start].matches('\n').count();
        let label = Some(escaped(&self.label)).filter(|label| !label.is_empty());
        Snippet::source(shown)
            .path(escaped(&self.file))
            .line_start(numbers - neighbours.len().min(usize::from(before.is_some())))
            .annotation(AnnotationKind::Primary.span(pointer).label(label))
            .annotations(neighbours.into_iter().map(|line| AnnotationKind::Visible.span(line)))
    }

    fn entry(&self) -> PlaceEntry<'_> {
        let (line, meant) = self.line();
        PlaceEntry {
            file: &self.file,
            line: self.first_line + self.text[..line.start].matches('\n').count(),
            column: self.text[line.start..meant.start].chars().count() + 1,
            label: &self.label,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn report(text: &str, span: Range<usize>) -> Report {
        let problem = Problem::new("wrong", span).help("put it right");
        Report::in_text(problem, "lesson.toml", &text.into())
    }

    fn lines(report: &Report) -> Vec<String> {
        report.shown(false).lines().map(|line| line.trim_end().to_owned()).collect()
    }

    #[test]
    fn the_place_is_shown_with_the_lines_around_it() {
        let text = "first\nsecond line\r\nthird\nfourth\n";
        assert_eq!(
            lines(&report(text, 13..17)),
            [
                "error: wrong",
                " --> lesson.toml:2:8",
                "  |",
                "1 | first",
                "2 | second line",
                "  |        ^^^^",
                "3 | third",
                "  |",
                "  = help: put it right",
            ]
        );
    }

    #[test]
    fn no_place_is_a_panic_and_no_file_speaks_to_the_terminal() {
        for text in ["", "\n", "\r\n", "ü", "a\u{1b}]0;x\u{7}b\nc", "\u{9b}", "a\n\n\nb"] {
            for from in 0..text.len() + 3 {
                for to in 0..text.len() + 3 {
                    let report = report(text, from..to);
                    let shown = report.shown(false);
                    let obeyed = |c: char| c.is_control() && c != '\n';
                    assert!(!shown.contains(obeyed), "{shown:?}");
                    assert!(report.entry().place.is_some_and(|place| place.line >= 1));
                }
            }
        }
    }

    #[test]
    fn a_line_without_end_is_cut() {
        let text = "x".repeat(1_000_000);
        let shown = report(&text, 500_000..500_003).shown(false);
        assert!(shown.len() < 2_000, "{} bytes", shown.len());
    }
}

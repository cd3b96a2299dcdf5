//! How a command fails: what is shown, and the exit code.

use std::process::ExitCode;
use std::sync::Arc;

use serde::Serialize;

use super::report::{Report, ReportEntry};
use crate::plan::PlanError;
use crate::problem::{InternalError, ProblemList, Problems};

/// So many problems are shown; of the rest only the number. Who has put right as many looks again.
const MOST_SHOWN: usize = ProblemList::MOST;

/// A failed command.
#[derive(Debug)]
pub(super) struct Failure {
    cause: Cause,
    reports: Vec<Report>,
    /// How many problems there are besides the reports.
    more: usize,
}

/// Whose fault it is; of several causes the last in this order counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Cause {
    /// The input or its use is wrong.
    Input,
    /// The work failed.
    Work,
    /// The program is in a state that should be impossible.
    Internal,
    /// Somebody asked it to stop, by a signal of this number.
    Stopped { signal: u8 },
}

/// A failure as other programs get it.
#[derive(Debug, Serialize)]
#[serde(tag = "event", rename = "failed")]
pub(super) struct FailureEntry<'a> {
    /// `input`, `work`, `internal` or `stopped`.
    cause: &'static str,
    problems: Vec<ReportEntry<'a>>,
    /// How many problems there are besides.
    more: usize,
}

impl Failure {
    /// Wrong input.
    pub(super) fn input(report: impl Into<Report>) -> Failure {
        Failure { cause: Cause::Input, reports: vec![report.into()], more: 0 }
    }

    /// Failed work.
    pub(super) fn work(report: impl Into<Report>) -> Failure {
        Failure { cause: Cause::Work, reports: vec![report.into()], more: 0 }
    }

    /// A state that should be impossible.
    pub(super) fn internal(what: impl std::fmt::Display) -> Failure {
        let report = Report::new(InternalError::new(what.to_string()).to_string());
        Failure { cause: Cause::Internal, reports: vec![report], more: 0 }
    }

    /// A lesson that cannot be planned.
    pub(super) fn of_plan(error: &PlanError) -> Failure {
        match error {
            PlanError::Internal(InternalError(what)) => Failure::internal(what),
            error => Failure::input(Report::of(error)),
        }
    }

    /// Work that was stopped, by a signal of this number.
    pub(super) fn stopped(signal: u8) -> Failure {
        let report = "stopped: the files that are whole stay, and the next run makes the rest";
        Failure { cause: Cause::Stopped { signal }, reports: vec![report.into()], more: 0 }
    }

    /// Several failures as one; none is no failure.
    pub(super) fn together(failures: impl IntoIterator<Item = Failure>) -> Result<(), Failure> {
        let joined = failures.into_iter().reduce(|mut all, more| {
            all.cause = all.cause.max(more.cause);
            all.reports.extend(more.reports);
            all.more += more.more;
            all
        });
        joined.map_or(Ok(()), Err)
    }

    /// The exit code: 2 for wrong input, 1 for failed work, and what shells expect of a program
    /// that a signal stopped.
    pub(super) fn exit_code(&self) -> ExitCode {
        ExitCode::from(match self.cause {
            Cause::Input => 2,
            Cause::Work | Cause::Internal => 1,
            Cause::Stopped { signal } => 128_u8.saturating_add(signal),
        })
    }

    /// Whether somebody asked the program to stop.
    pub(super) const fn is_stop(&self) -> bool {
        matches!(self.cause, Cause::Stopped { .. })
    }

    /// The problems that are shown.
    pub(super) fn shown_reports(&self) -> impl Iterator<Item = &Report> {
        self.reports.iter().take(MOST_SHOWN)
    }

    /// How many problems there are besides.
    pub(super) fn more(&self) -> usize {
        self.more + self.reports.len().saturating_sub(MOST_SHOWN)
    }

    /// For other programs.
    pub(super) fn entry(&self) -> FailureEntry<'_> {
        FailureEntry {
            cause: match self.cause {
                Cause::Input => "input",
                Cause::Work => "work",
                Cause::Internal => "internal",
                Cause::Stopped { .. } => "stopped",
            },
            problems: self.shown_reports().map(Report::entry).collect(),
            more: self.more(),
        }
    }
}

impl From<Problems> for Failure {
    fn from(Problems { name, text, problems, more }: Problems) -> Failure {
        let text: Arc<str> = text;
        let report = |problem| Report::in_text(problem, &name, &text);
        let reports = problems.into_iter().map(report).collect();
        Failure { cause: Cause::Input, reports, more }
    }
}

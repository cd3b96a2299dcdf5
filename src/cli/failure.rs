//! How a command fails: what is printed, and the exit code.

use std::process::ExitCode;

use miette::{LabeledSpan, MietteDiagnostic, NamedSource, Report};

use crate::problem::Problems;

/// A failed command.
#[derive(Debug)]
pub enum Failure {
    /// The input or its use is wrong: exit code 2.
    Input(Vec<Report>),
    /// The work failed: exit code 1.
    Work(Vec<Report>),
}

impl Failure {
    /// Wrong input, told by one report.
    pub fn input(report: impl Into<Report>) -> Failure {
        Failure::Input(vec![report.into()])
    }

    /// Failed work, told by one report.
    pub fn work(report: impl Into<Report>) -> Failure {
        Failure::Work(vec![report.into()])
    }

    /// Several failures as one: of work if any is.
    pub fn together(failures: impl IntoIterator<Item = Failure>) -> Failure {
        let mut all = Failure::Input(Vec::new());
        for failure in failures {
            all = match (all, failure) {
                (Failure::Input(mut all), Failure::Input(more)) => {
                    all.extend(more);
                    Failure::Input(all)
                }
                (
                    Failure::Input(mut all) | Failure::Work(mut all),
                    Failure::Input(more) | Failure::Work(more),
                ) => {
                    all.extend(more);
                    Failure::Work(all)
                }
            };
        }
        all
    }

    /// The exit code.
    pub fn exit_code(&self) -> ExitCode {
        match self {
            Failure::Input(_) => ExitCode::from(2),
            Failure::Work(_) => ExitCode::from(1),
        }
    }

    /// All that is to be printed.
    pub fn reports(&self) -> &[Report] {
        match self {
            Failure::Input(reports) | Failure::Work(reports) => reports,
        }
    }
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Failure {
        let source =
            std::sync::Arc::new(NamedSource::new(&problems.name, problems.text.to_string()));
        let reports = problems.problems.into_iter().map(|problem| {
            let label = (!problem.label.is_empty()).then_some(problem.label);
            let mut diagnostic = MietteDiagnostic::new(problem.message)
                .with_label(LabeledSpan::new_with_span(label, problem.span));
            if !problem.help.is_empty() {
                diagnostic = diagnostic.with_help(problem.help);
            }
            Report::new(diagnostic).with_source_code(std::sync::Arc::clone(&source))
        });
        Failure::Input(reports.collect())
    }
}

//! `countoff techniques`

use std::fmt::Write;

use serde::Serialize;

use super::args::Techniques;
use super::failure::Failure;
use super::output;
use super::report::Report;
use crate::melody::Technique;

#[derive(Serialize)]
struct Listed {
    name: &'static str,
    grade: u8,
    description: &'static str,
}

/// Lists the techniques that lines can be composed to show, by grade.
pub(super) fn run(options: &Techniques) -> Result<(), Failure> {
    let chosen = match &options.name {
        Some(name) => vec![name.parse::<Technique>().map_err(|error| {
            let help = "`countoff techniques` lists them all";
            Failure::input(Report::new(error.to_string()).help(help))
        })?],
        None => Technique::ALL.to_vec(),
    };
    let listed: Vec<Listed> = chosen
        .into_iter()
        .map(|technique| Listed {
            name: technique.name(),
            grade: technique.grade(),
            description: technique.what(),
        })
        .collect();
    if options.json { output::json(&listed) } else { output::text(&table(&listed)) }
}

fn table(listed: &[Listed]) -> String {
    let mut text = String::new();
    let mut grade = 0;
    for technique in listed {
        if technique.grade != grade {
            grade = technique.grade;
            let _ = writeln!(text, "grade {grade}");
        }
        let _ = writeln!(text, "  {:17} {}", technique.name, technique.description);
    }
    text.push_str("\nA lesson composes one by `technique = \"NAME\"` in a [[line]].\n");
    text
}

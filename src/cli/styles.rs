//! `countoff styles`

use std::fmt::Write;

use serde::Serialize;

use super::args::Styles;
use super::failure::Failure;
use super::report::Report;
use super::sources::Sources;
use super::{input, output};
use crate::problem::nearest;
use crate::style::{Library, Shelf};

#[derive(Serialize)]
struct Listed<'a> {
    part: String,
    name: &'a str,
    level: String,
    description: String,
    origin: &'a str,
}

/// Lists the styles, or prints the file of one.
pub(super) fn run(options: &Styles) -> Result<(), Failure> {
    let library = input::library(options.styles.as_deref(), &Sources::default())?;
    if let Some(name) = &options.name {
        return show(&library, name);
    }
    let mut listed = Vec::new();
    for shelf in Shelf::ALL {
        for file in library.files(shelf) {
            let heading = file.heading().map_err(|error| Failure::input(Report::of(&error)))?;
            listed.push(Listed {
                part: shelf.to_string(),
                name: &file.name,
                level: heading.level.to_string(),
                description: heading.description,
                origin: &file.origin,
            });
        }
    }
    if options.json { output::json(&listed) } else { output::text(&table(&listed)) }
}

fn table(listed: &[Listed<'_>]) -> String {
    let width = listed.iter().map(|style| style.name.chars().count()).max().unwrap_or(0);
    let mut text = String::new();
    let mut part = "";
    for style in listed {
        if style.part != part {
            part = &style.part;
            let _ = writeln!(text, "{part}");
        }
        let _ =
            writeln!(text, "  {:width$}  {:12}  {}", style.name, style.level, style.description);
    }
    text.push_str(
        "\n`countoff styles NAME` prints the file of one, to read or to begin your own from.\n",
    );
    text
}

fn show(library: &Library, name: &str) -> Result<(), Failure> {
    let found: Vec<_> = Shelf::ALL
        .into_iter()
        .filter_map(|shelf| Some((shelf, library.find(shelf, name).ok()?)))
        .collect();
    if found.is_empty() {
        let names = Shelf::ALL.iter().flat_map(|shelf| library.files(*shelf));
        let near = nearest(name, names.map(|file| file.name.as_str()));
        let help = match near {
            Some(right) => format!("did you mean `{right}`? `countoff styles` lists them all"),
            None => "`countoff styles` lists them all".to_owned(),
        };
        let message = format!("there is no style named `{name}`");
        return Err(Failure::input(Report::new(message).help(help)));
    }
    for (shelf, file) in found {
        output::text(&format!(
            "# {shelf} style {}, from {}\n\n{}",
            file.name, file.origin, file.text
        ))?;
    }
    Ok(())
}

//! `countoff verify`

use std::collections::BTreeSet;

use serde::Serialize;

use super::args::Verify;
use super::failure::Failure;
use super::output;
use super::report::Report;
use crate::deliver::{Manifest, verify};
use crate::render::MANIFEST;

#[derive(Serialize)]
struct Verdict<'a> {
    path: &'a str,
    finding: String,
}

/// Measures a finished set again.
pub(super) fn run(options: &Verify) -> Result<(), Failure> {
    let folder = &options.folder;
    let path = folder.join(MANIFEST);
    let manifest = Manifest::read(&path).map_err(|error| Failure::input(error.to_string()))?;
    let manifest = manifest.ok_or_else(|| {
        let message = format!("there is no {}", path.display());
        Failure::input(Report::new(message).help("name the folder that `countoff render` made"))
    })?;
    let findings = verify(folder, &manifest);
    if options.json {
        for (path, finding) in &findings {
            output::json(&Verdict { path, finding: finding.to_string() })?;
        }
    } else {
        for (path, finding) in &findings {
            output::text(&format!("{path}: {finding}"))?;
        }
    }
    let files = manifest.paths().len();
    if findings.is_empty() {
        return if options.json {
            Ok(())
        } else {
            output::text(&format!("{files} files, all as they were made"))
        };
    }
    let wrong: BTreeSet<&String> = findings.iter().map(|(path, _)| path).collect();
    let message = format!("{} of {files} files are not as they were made", wrong.len());
    Err(Failure::work(Report::new(message).help(
        "`countoff render` makes what is missing, and leaves alone what was changed: to have \
             that made again, move it away first",
    )))
}

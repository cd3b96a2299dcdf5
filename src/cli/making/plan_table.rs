//! `--plan`: what would be made.

use std::fmt::Write;

use serde::Serialize;

use super::outline::Outline;
use crate::cli::failure::Failure;
use crate::cli::job::Job;
use crate::cli::output;
use crate::cli::request::Telling;
use crate::page::PAGE;

#[derive(Serialize)]
struct Row<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    lesson: Option<&'a str>,
    path: &'a str,
    seconds: f64,
    bytes: u64,
}

/// Prints the files that are to be made with durations and sizes; both are estimates, since how
/// long the last note rings is known only when it has been played.
pub(super) fn print(job: &Job, outlines: &[Outline], telling: Telling) -> Result<(), Failure> {
    let mut rows = Vec::new();
    if job.course.is_some() {
        rows.push(Row { lesson: None, path: PAGE, seconds: 0.0, bytes: 0 });
    }
    for (set, outline) in job.sets.iter().zip(outlines) {
        let lesson = set.name.as_deref();
        for take in &outline.takes {
            let seconds = take.frames.seconds(set.lesson.rate);
            for (path, bytes) in &take.sounds {
                rows.push(Row { lesson, path, seconds, bytes: *bytes });
            }
            let small = take.small.iter();
            rows.extend(small.map(|path| Row { lesson, path, seconds: 0.0, bytes: 0 }));
        }
        let of_set = outline.of_set.iter();
        rows.extend(of_set.map(|(path, bytes)| Row { lesson, path, seconds: 0.0, bytes: *bytes }));
    }
    if telling == Telling::Json {
        return rows.iter().try_for_each(output::json);
    }
    let mut text = String::new();
    let width = rows.iter().map(|row| row.path.len()).max().unwrap_or(0);
    let mut lesson = None;
    for row in &rows {
        if row.lesson != lesson {
            lesson = row.lesson;
            let _ = writeln!(text, "{}:", lesson.unwrap_or_default());
        }
        if row.bytes > 0 {
            let minutes = if row.seconds > 0.0 { minutes(row.seconds) } else { String::new() };
            let _ = writeln!(text, "{:width$}  {minutes:>7}  {:>8}", row.path, size(row.bytes));
        } else {
            let _ = writeln!(text, "{}", row.path);
        }
    }
    let seconds: f64 = rows.iter().map(|row| row.seconds).sum();
    let bytes: u64 = rows.iter().map(|row| row.bytes).sum();
    let place = match job.sets.as_slice() {
        [only] => only.folder.display().to_string(),
        several => format!("{} sets", several.len()),
    };
    let _ = writeln!(
        text,
        "\n{} files, {} of audio, about {}, in {place}",
        rows.len(),
        minutes(seconds).trim_start(),
        size(bytes)
    );
    output::text(&text)
}

/// Minutes and seconds.
pub(super) fn minutes(seconds: f64) -> String {
    let whole = seconds.round();
    format!("{:>4}:{:02}", (whole / 60.0).floor(), whole % 60.0)
}

fn size(bytes: u64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "shown with one decimal")]
    let megabytes = bytes as f64 / 1e6;
    format!("{megabytes:.1} MB")
}

//! `--plan`: what would be made.

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use super::{Failure, output};
use crate::lesson::Lesson;
use crate::plan::Plan;

#[derive(Serialize)]
struct Row<'a> {
    path: &'a str,
    seconds: f64,
    bytes: u64,
}

/// Prints the files of a plan with durations and sizes; both are estimates, since how long the
/// last note rings is known only when it has been played.
pub(super) fn print(lesson: &Lesson, plan: &Plan, root: &Path, json: bool) -> Result<(), Failure> {
    let mut rows = Vec::new();
    for take in &plan.takes {
        let timeline = &take.notes.timeline;
        let frames = timeline.tempo.frame(timeline.end, lesson.rate);
        for sound in &take.sounds {
            let seconds = frames.seconds(lesson.rate);
            rows.push(Row {
                path: &sound.path,
                seconds,
                bytes: sound.format.estimated_bytes(frames, lesson.rate),
            });
        }
        let small = std::iter::once(&take.midi).chain(&take.bar_times);
        rows.extend(small.map(|path| Row { path, seconds: 0.0, bytes: 0 }));
    }
    rows.extend(plan.archive.iter().map(|path| Row { path, seconds: 0.0, bytes: 0 }));
    if json {
        return rows.iter().try_for_each(output::json);
    }
    let mut text = String::new();
    let width = rows.iter().map(|row| row.path.len()).max().unwrap_or(0);
    for row in &rows {
        if row.bytes > 0 {
            let _ = writeln!(
                text,
                "{:width$}  {}  {:>8}",
                row.path,
                minutes(row.seconds),
                size(row.bytes)
            );
        } else {
            let _ = writeln!(text, "{}", row.path);
        }
    }
    let seconds: f64 = rows.iter().map(|row| row.seconds).sum();
    let bytes: u64 = rows.iter().map(|row| row.bytes).sum();
    let _ = writeln!(
        text,
        "\n{} files, {} of audio, about {}, in {}",
        rows.len(),
        minutes(seconds).trim_start(),
        size(bytes),
        root.display()
    );
    output::text(&text)
}

fn minutes(seconds: f64) -> String {
    let whole = seconds.round();
    format!("{:>4}:{:02}", (whole / 60.0).floor(), whole % 60.0)
}

fn size(bytes: u64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "shown with one decimal")]
    let megabytes = bytes as f64 / 1e6;
    format!("{megabytes:.1} MB")
}

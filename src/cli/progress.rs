//! Progress on standard error, results on standard output.

use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::args::Making;
use super::output;
use crate::plan::Plan;
use crate::render::{Made, Progress};
use crate::units::SampleRate;

/// Watches files being made, and tells about it.
pub(super) struct Watcher {
    bar: ProgressBar,
    json: bool,
    tally: Mutex<Tally>,
}

#[derive(Debug, Default, Clone)]
struct Tally {
    made: usize,
    kept: usize,
    seconds: f64,
    quiet_files: Vec<(String, f64)>,
}

#[derive(Serialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
enum Event<'a> {
    Made { path: &'a str, seconds: f64, lufs: Option<f64> },
    Kept { path: &'a str },
    Done { folder: String, made: usize, kept: usize, seconds: f64 },
}

impl Watcher {
    pub(super) fn new(plan: &Plan, rate: SampleRate, options: &Making) -> Watcher {
        let _ = rate;
        let files: usize = plan.takes.iter().map(|take| take.paths().count()).sum();
        let files = files + plan.archive.iter().count();
        let bar = if options.quiet || options.json {
            ProgressBar::hidden()
        } else {
            ProgressBar::new(files as u64)
        };
        let template = "{pos}/{len} files {wide_bar} {msg}, {eta} left";
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Watcher { bar, json: options.json, tally: Mutex::default() }
    }

    /// Tells what was made in all.
    pub(super) fn finish(&self, root: &Path) {
        self.bar.finish_and_clear();
        let tally = self.tally().clone();
        for (path, short) in &tally.quiet_files {
            eprintln!(
                "note: {path} is {short:.1} LU quieter than asked for: its peaks allow no more"
            );
        }
        let folder = root.display().to_string();
        if self.json {
            let done =
                Event::Done { folder, made: tally.made, kept: tally.kept, seconds: tally.seconds };
            let _ = output::json(&done);
        } else if !self.bar.is_hidden() || tally.made > 0 {
            let unchanged = match tally.kept {
                0 => String::new(),
                kept => format!(", {kept} unchanged"),
            };
            let minutes = tally.seconds / 60.0;
            let _ = output::text(&format!(
                "{} files made ({minutes:.1} minutes of audio){unchanged}, in {folder}",
                tally.made
            ));
        }
    }

    fn tally(&self) -> std::sync::MutexGuard<'_, Tally> {
        self.tally.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

impl Progress for Watcher {
    fn made(&self, file: &Made) {
        let minutes = {
            let mut tally = self.tally();
            tally.made += 1;
            tally.seconds += file.seconds;
            if let Some(short) = file.short_of_target {
                tally.quiet_files.push((file.path.clone(), short));
            }
            tally.seconds / 60.0
        };
        if self.json {
            let event =
                Event::Made { path: &file.path, seconds: file.seconds, lufs: file.loudness };
            let _ = output::json(&event);
        }
        self.bar.set_message(format!("{minutes:.1} minutes of audio"));
        self.bar.inc(1);
    }

    fn kept(&self, path: &str) {
        self.tally().kept += 1;
        if self.json {
            let _ = output::json(&Event::Kept { path });
        }
        self.bar.inc(1);
    }
}

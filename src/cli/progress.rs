//! Progress on standard error, results on standard output.

use std::sync::Mutex;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::args::Making;
use super::making::Order;
use super::output;
use crate::render::{Made, Progress, Work};

/// Watches files being made, and tells about it.
pub(super) struct Watcher {
    bar: ProgressBar,
    json: bool,
    tally: Mutex<Tally>,
}

#[derive(Debug, Default, Clone)]
struct Tally {
    made: usize,
    tagged: usize,
    kept: usize,
    seconds: f64,
    quiet_files: Vec<(String, f64)>,
}

#[derive(Serialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
enum Event<'a> {
    Made {
        #[serde(skip_serializing_if = "Option::is_none")]
        lesson: Option<&'a str>,
        path: &'a str,
        seconds: f64,
        lufs: Option<f64>,
    },
    Tagged {
        #[serde(skip_serializing_if = "Option::is_none")]
        lesson: Option<&'a str>,
        path: &'a str,
    },
    Kept {
        #[serde(skip_serializing_if = "Option::is_none")]
        lesson: Option<&'a str>,
        path: &'a str,
    },
    Done {
        #[serde(skip_serializing_if = "Option::is_none")]
        folder: Option<String>,
        made: usize,
        tagged: usize,
        kept: usize,
        seconds: f64,
    },
}

impl Watcher {
    /// Watches so many files.
    pub(super) fn new(files: usize, options: &Making) -> Watcher {
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

    /// Watches one set; its name tells it from the others of a course.
    pub(super) fn of_set<'a>(&'a self, name: Option<&'a str>) -> OfSet<'a> {
        OfSet { watcher: self, name }
    }

    /// Tells what was made in all.
    pub(super) fn finish(&self, orders: &[Order], work: Work) {
        self.bar.finish_and_clear();
        let tally = self.tally().clone();
        for (path, short) in &tally.quiet_files {
            eprintln!(
                "note: {path} is {short:.1} LU quieter than asked for: its peaks allow no more"
            );
        }
        let folder = match orders {
            [only] => Some(only.folder.display().to_string()),
            _ => None,
        };
        if self.json {
            let done = Event::Done {
                folder,
                made: tally.made,
                tagged: tally.tagged,
                kept: tally.kept,
                seconds: tally.seconds,
            };
            let _ = output::json(&done);
        } else if !self.bar.is_hidden() || tally.made > 0 || work == Work::Collect {
            let unchanged = match tally.kept {
                0 => String::new(),
                kept => format!(", {kept} unchanged"),
            };
            let tagged = match tally.tagged {
                0 => String::new(),
                tagged => format!(", {tagged} with other tags"),
            };
            let minutes = tally.seconds / 60.0;
            let place = folder.unwrap_or_else(|| format!("{} sets", orders.len()));
            let _ = output::text(&match work {
                Work::Collect => format!("{} files gathered, in {place}", tally.kept + tally.made),
                Work::All | Work::Share(_) => format!(
                    "{} files made ({minutes:.1} minutes of audio){tagged}{unchanged}, in {place}",
                    tally.made
                ),
            });
        }
    }

    fn tally(&self) -> std::sync::MutexGuard<'_, Tally> {
        self.tally.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

/// What is told of one set.
pub(super) struct OfSet<'a> {
    watcher: &'a Watcher,
    name: Option<&'a str>,
}

impl Progress for OfSet<'_> {
    fn made(&self, file: &Made) {
        let watcher = self.watcher;
        let minutes = {
            let mut tally = watcher.tally();
            tally.made += 1;
            tally.seconds += file.seconds;
            if let Some(short) = file.short_of_target {
                tally.quiet_files.push((file.path.clone(), short));
            }
            tally.seconds / 60.0
        };
        if watcher.json {
            let (path, seconds, lufs) = (&file.path, file.seconds, file.loudness);
            let _ = output::json(&Event::Made { lesson: self.name, path, seconds, lufs });
        }
        watcher.bar.set_message(format!("{minutes:.1} minutes of audio"));
        watcher.bar.inc(1);
    }

    fn tagged(&self, path: &str) {
        let watcher = self.watcher;
        watcher.tally().tagged += 1;
        if watcher.json {
            let _ = output::json(&Event::Tagged { lesson: self.name, path });
        }
        watcher.bar.inc(1);
    }

    fn kept(&self, path: &str) {
        let watcher = self.watcher;
        watcher.tally().kept += 1;
        if watcher.json {
            let _ = output::json(&Event::Kept { lesson: self.name, path });
        }
        watcher.bar.inc(1);
    }
}

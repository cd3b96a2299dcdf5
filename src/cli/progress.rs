//! Progress on standard error, results on standard output.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::args::Making;
use super::making::Order;
use super::{output, plan_table};
use crate::render::{Made, Progress, Work};

/// Watches files being made, and tells about it.
pub(super) struct Watcher {
    /// As long as the audio of all files, in milliseconds.
    bar: ProgressBar,
    files: usize,
    quiet: bool,
    json: bool,
    started: Instant,
    tally: Mutex<Tally>,
}

#[derive(Debug, Default, Clone)]
struct Tally {
    made: usize,
    tagged: usize,
    kept: usize,
    /// Of audio in the files that were made.
    seconds: f64,
    quiet_files: Vec<(String, f64)>,
    /// What was changed by hand, or was not made here, and was left as it is.
    left_alone: Vec<String>,
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
    LeftAlone {
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
        let bar =
            if options.quiet || options.json { ProgressBar::hidden() } else { ProgressBar::new(0) };
        if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {prefix}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Watcher {
            bar,
            files,
            quiet: options.quiet,
            json: options.json,
            started: Instant::now(),
            tally: Mutex::default(),
        }
    }

    /// Watches one set; its name tells it from the others of a course. `lengths` are those of its
    /// sound files as planned, in seconds.
    pub(super) fn of_set<'a>(
        &'a self,
        name: Option<&'a str>,
        lengths: BTreeMap<String, f64>,
    ) -> OfSet<'a> {
        self.bar.inc_length(lengths.values().copied().map(milliseconds).sum());
        OfSet { watcher: self, name, lengths }
    }

    /// Moves the bar by a file.
    fn advance(&self, planned_seconds: f64) {
        let (done, made) = {
            let tally = self.tally();
            (tally.made + tally.tagged + tally.kept + tally.left_alone.len(), tally.seconds)
        };
        self.bar.inc(milliseconds(planned_seconds));
        let all = self.bar.length().unwrap_or(0);
        let left = all.saturating_sub(self.bar.position());
        self.bar.set_message(format!(
            "{done} of {} files, {:.1} of {:.1} minutes of audio",
            self.files,
            minutes(self.bar.position()),
            minutes(all)
        ));
        if let Some(left) = time_left(left, made, self.started.elapsed()) {
            self.bar.set_prefix(format!("{} left", plan_table::minutes(left).trim_start()));
        }
    }

    /// Tells what was made in all; `whole` where nothing went wrong.
    pub(super) fn finish(&self, orders: &[Order], work: Work, whole: bool) {
        self.bar.finish_and_clear();
        if self.quiet && !self.json {
            return;
        }
        let tally = self.tally().clone();
        for (path, short) in &tally.quiet_files {
            eprintln!(
                "note: {path} is {short:.1} LU quieter than asked for: its peaks allow no more"
            );
        }
        for path in &tally.left_alone {
            eprintln!(
                "note: {path} was changed since it was made, or was not made here: it is left as it \
                 is; to have it made, move it away and run again"
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
        } else if let Some(line) = tally.summary(work, whole) {
            let place = folder.unwrap_or_else(|| format!("{} sets", orders.len()));
            let _ = output::text(&format!("{line}, in {place}"));
        }
    }

    fn tally(&self) -> std::sync::MutexGuard<'_, Tally> {
        self.tally.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

impl Tally {
    /// What was made in all, in a line; nothing where something went wrong before anything was.
    fn summary(&self, work: Work, whole: bool) -> Option<String> {
        let &Tally { made, tagged, kept, .. } = self;
        let several = |count: usize| match count {
            1 => "1 file".to_owned(),
            count => format!("{count} files"),
        };
        if work == Work::Collect {
            return whole.then(|| format!("{} gathered", several(kept + made)));
        }
        if made + tagged == 0 {
            let verb = if kept == 1 { "is" } else { "are" };
            return whole
                .then(|| format!("nothing to make: {} {verb} as they should be", several(kept)))
                .map(|line| line + &self.and_left_alone());
        }
        let minutes = self.seconds / 60.0;
        let mut line = format!("{} made ({minutes:.1} minutes of audio)", several(made));
        for (count, what) in [(tagged, "with other tags"), (kept, "unchanged")] {
            if count > 0 {
                line += &format!(", {count} {what}");
            }
        }
        Some(line + &self.and_left_alone())
    }

    /// The end of that line: how many files were left as they are.
    fn and_left_alone(&self) -> String {
        match self.left_alone.len() {
            0 => String::new(),
            count => format!(", {count} left as you changed them"),
        }
    }
}

/// The seconds until the rest of the audio is made, as fast as the audio so far was. Files that
/// are there already take next to no time, and tell nothing of it.
fn time_left(left_milliseconds: u64, made_seconds: f64, elapsed: Duration) -> Option<f64> {
    let pace = elapsed.as_secs_f64() / made_seconds;
    (made_seconds > 0.0).then(|| Duration::from_millis(left_milliseconds).as_secs_f64() * pace)
}

fn milliseconds(seconds: f64) -> u64 {
    let duration = Duration::try_from_secs_f64(seconds).unwrap_or_default();
    u64::try_from(duration.as_millis()).unwrap_or(u64::MAX)
}

fn minutes(milliseconds: u64) -> f64 {
    Duration::from_millis(milliseconds).as_secs_f64() / 60.0
}

/// What is told of one set.
pub(super) struct OfSet<'a> {
    watcher: &'a Watcher,
    name: Option<&'a str>,
    lengths: BTreeMap<String, f64>,
}

impl OfSet<'_> {
    fn advance(&self, path: &str) {
        self.watcher.advance(self.lengths.get(path).copied().unwrap_or(0.0));
    }
}

impl Progress for OfSet<'_> {
    fn made(&self, file: &Made) {
        let watcher = self.watcher;
        {
            let mut tally = watcher.tally();
            tally.made += 1;
            tally.seconds += file.seconds;
            if let Some(short) = file.short_of_target {
                tally.quiet_files.push((file.path.clone(), short));
            }
        }
        if watcher.json {
            let (path, seconds, lufs) = (&file.path, file.seconds, file.loudness);
            let _ = output::json(&Event::Made { lesson: self.name, path, seconds, lufs });
        }
        self.advance(&file.path);
    }

    fn tagged(&self, path: &str) {
        let watcher = self.watcher;
        watcher.tally().tagged += 1;
        if watcher.json {
            let _ = output::json(&Event::Tagged { lesson: self.name, path });
        }
        self.advance(path);
    }

    fn kept(&self, path: &str) {
        let watcher = self.watcher;
        watcher.tally().kept += 1;
        if watcher.json {
            let _ = output::json(&Event::Kept { lesson: self.name, path });
        }
        self.advance(path);
    }

    fn left_alone(&self, path: &str) {
        let watcher = self.watcher;
        let named = self.name.map_or(path.to_owned(), |name| format!("{name}/{path}"));
        watcher.tally().left_alone.push(named);
        if watcher.json {
            let _ = output::json(&Event::LeftAlone { lesson: self.name, path });
        }
        self.advance(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_goes_by_audio_that_was_made() {
        let ten_seconds = Duration::from_secs(10);
        // A minute of audio took ten seconds, and three minutes are left.
        let left = time_left(180_000, 60.0, ten_seconds).unwrap();
        assert!((left - 30.0).abs() < 1e-9, "{left}");
        assert_eq!(time_left(180_000, 0.0, ten_seconds), None, "nothing is known yet");
    }

    #[test]
    fn one_line_tells_what_was_made() {
        let tally =
            |made, tagged, kept| Tally { made, tagged, kept, seconds: 90.0, ..Tally::default() };
        let all = |tally: Tally| tally.summary(Work::All, true).unwrap();
        assert_eq!(all(tally(3, 0, 0)), "3 files made (1.5 minutes of audio)");
        assert_eq!(
            all(tally(1, 2, 4)),
            "1 file made (1.5 minutes of audio), 2 with other tags, 4 unchanged"
        );
        assert_eq!(all(tally(0, 0, 9)), "nothing to make: 9 files are as they should be");
        assert_eq!(tally(0, 0, 4).summary(Work::All, false), None);
        assert_eq!(tally(0, 0, 4).summary(Work::Collect, true).unwrap(), "4 files gathered");
    }
}

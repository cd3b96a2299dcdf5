//! Progress on standard error, results on standard output.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::plan_table;
use crate::cli::failure::Failure;
use crate::cli::job::Set;
use crate::cli::output;
use crate::cli::request::Telling;
use crate::render::{Made, Progress, Work};

/// Reports on files as they are made.
pub(super) struct Reporter {
    /// As long as the audio of all files, in milliseconds.
    bar: ProgressBar,
    files: usize,
    telling: Telling,
    started: Instant,
    tally: Mutex<Tally>,
    /// What could not be printed.
    unprinted: Mutex<Option<Failure>>,
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
    /// What a teacher should know of, though nothing is wrong.
    Note {
        #[serde(skip_serializing_if = "Option::is_none")]
        lesson: Option<&'a str>,
        text: &'a str,
    },
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

/// Tells what a teacher should know of, though nothing is wrong.
pub(super) fn note(telling: Telling, lesson: Option<&str>, text: &str) -> Result<(), Failure> {
    match (telling, lesson) {
        (Telling::Json, lesson) => return output::json(&Event::Note { lesson, text }),
        (Telling::Nothing, _) => {}
        (Telling::Words, None) => output::note(text),
        (Telling::Words, Some(lesson)) => output::note(&format!("{lesson}: {text}")),
    }
    Ok(())
}

impl Reporter {
    /// Reports on so many files.
    pub(super) fn new(files: usize, telling: Telling) -> Reporter {
        let bar = match telling {
            Telling::Words => ProgressBar::new(0),
            Telling::Nothing | Telling::Json => ProgressBar::hidden(),
        };
        if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {prefix}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Reporter {
            bar,
            files,
            telling,
            started: Instant::now(),
            tally: Mutex::default(),
            unprinted: Mutex::default(),
        }
    }

    /// Reports on one set; its name tells it from the others of a course. `lengths` are those of its
    /// sound files as planned, in seconds.
    pub(super) fn of_set<'a>(
        &'a self,
        name: Option<&'a str>,
        lengths: BTreeMap<String, f64>,
    ) -> SetReporter<'a> {
        self.bar.inc_length(lengths.values().copied().map(milliseconds).sum());
        SetReporter { reporter: self, name, lengths }
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

    /// Tells other programs what happens.
    fn event(&self, event: &Event<'_>) {
        if self.telling == Telling::Json
            && let Err(failure) = output::json(event)
        {
            lock(&self.unprinted).get_or_insert(failure);
        }
    }

    /// Tells what was made in all; `whole` where nothing went wrong.
    ///
    /// # Errors
    /// Something could not be printed, now or earlier.
    pub(super) fn finish(&self, sets: &[Set], work: Work, whole: bool) -> Result<(), Failure> {
        self.bar.finish_and_clear();
        let tally = self.tally().clone();
        for (path, short) in &tally.quiet_files {
            let text =
                format!("{path} is {short:.1} LU quieter than asked for: its peaks allow no more");
            note(self.telling, None, &text)?;
        }
        // Other programs were told when it was found.
        let left_alone = tally.left_alone.iter().filter(|_| self.telling == Telling::Words);
        for path in left_alone {
            output::note(&format!(
                "{path} was changed since it was made, or was not made here: it is left as it is; \
                 to have it made, move it away and run again"
            ));
        }
        let folder = match sets {
            [only] => Some(only.folder.display().to_string()),
            _ => None,
        };
        match self.telling {
            Telling::Json => self.event(&Event::Done {
                folder,
                made: tally.made,
                tagged: tally.tagged,
                kept: tally.kept,
                seconds: tally.seconds,
            }),
            Telling::Nothing => {}
            Telling::Words => {
                if let Some(line) = tally.summary(work, whole) {
                    let place = folder.unwrap_or_else(|| format!("{} sets", sets.len()));
                    output::text(&format!("{line}, in {place}"))?;
                }
            }
        }
        lock(&self.unprinted).take().map_or(Ok(()), Err)
    }

    fn tally(&self) -> MutexGuard<'_, Tally> {
        lock(&self.tally)
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
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

/// Reports on the files of one set.
pub(super) struct SetReporter<'a> {
    reporter: &'a Reporter,
    name: Option<&'a str>,
    lengths: BTreeMap<String, f64>,
}

impl SetReporter<'_> {
    fn advance(&self, path: &str) {
        self.reporter.advance(self.lengths.get(path).copied().unwrap_or(0.0));
    }
}

impl Progress for SetReporter<'_> {
    fn made(&self, file: &Made) {
        let reporter = self.reporter;
        {
            let mut tally = reporter.tally();
            tally.made += 1;
            tally.seconds += file.seconds;
            if let Some(short) = file.short_of_target {
                tally.quiet_files.push((file.path.clone(), short));
            }
        }
        let (path, seconds, lufs) = (&file.path, file.seconds, file.loudness);
        reporter.event(&Event::Made { lesson: self.name, path, seconds, lufs });
        self.advance(&file.path);
    }

    fn tagged(&self, path: &str) {
        let reporter = self.reporter;
        reporter.tally().tagged += 1;
        reporter.event(&Event::Tagged { lesson: self.name, path });
        self.advance(path);
    }

    fn kept(&self, path: &str) {
        let reporter = self.reporter;
        reporter.tally().kept += 1;
        reporter.event(&Event::Kept { lesson: self.name, path });
        self.advance(path);
    }

    fn left_alone(&self, path: &str) {
        let reporter = self.reporter;
        let named = self.name.map_or(path.to_owned(), |name| format!("{name}/{path}"));
        reporter.tally().left_alone.push(named);
        reporter.event(&Event::LeftAlone { lesson: self.name, path });
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

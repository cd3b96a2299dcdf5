//! The checks of a lesson: from what was typed to what is meant.

use crate::mix::LevelRule;
use crate::part::click::{ClickOn, ClickPattern, ClickSound};
use crate::problem::{Problem, nearest};
use crate::style::Library;
use crate::units::{Bpm, Meter};

use super::book;
use super::file::{ClickEntry, ClickOnEntry, LessonFile, TemposEntry};
use super::places::{Places, Step};
use super::{Credits, Lesson, Neighbours, Track};

/// The version of the lesson format that this program reads.
const FORMAT: i64 = 1;

/// A lesson under check: its text, and what was found wrong so far.
pub(super) struct Checker<'a> {
    pub(super) places: Places<'a>,
    pub(super) neighbours: &'a dyn Neighbours,
    pub(super) library: &'a Library,
    pub(super) problems: Vec<Problem>,
    pub(super) warnings: Vec<String>,
}

impl<'a> Checker<'a> {
    pub(super) fn new(
        text: &'a str,
        neighbours: &'a dyn Neighbours,
        library: &'a Library,
    ) -> Checker<'a> {
        Checker {
            places: Places::of(text),
            neighbours,
            library,
            problems: Vec::new(),
            warnings: Vec::new(),
        }
    }

    pub(super) fn lesson(mut self, file: LessonFile) -> Result<Lesson, Vec<Problem>> {
        if file.format != FORMAT {
            let problem = Problem::new(
                format!(
                    "this lesson is of format {}, which this program does not read",
                    file.format
                ),
                self.places.value(&[Step::Key("format")]),
            );
            return Err(vec![problem.help(format!("write `format = {FORMAT}`"))]);
        }
        if file.title.trim().is_empty() {
            self.say("the title is empty", &[Step::Key("title")], "give the lesson a title");
        }
        let charts = self.charts(&file);
        let entries = self.lines(&file, &charts);
        let tempos = self.tempos(&file.tempos, &[Step::Key("tempos")]);
        let tracks = self.tracks(&file, &charts, &tempos);
        let formats = self.formats(&file.files);
        let samples = self.samples(&file.files);
        let rate = self.rate(&file.files);
        let notes = self.notes(&file.files);
        let paper = self.paper(&file.files);
        let click = self.click(&file.click);
        let seed = self.in_range(file.seed, 0..=i64::MAX, &[Step::Key("seed")]);
        let year = file.year.map(|year| self.in_range(year, 1..=9999, &[Step::Key("year")]));
        let bars = [Step::Key("count-in"), Step::Key("bars")];
        let count_in = file.count_in.bars.map(|count| self.in_range(count, 0..=4, &bars));
        let loudness_target = self.loudness_target(file.level.target);
        let level_by = [Step::Key("level"), Step::Key("by")];
        let level = match self.word(&file.level.by, &["track", "each"], &level_by) {
            Some(1) => LevelRule::Each,
            _ => LevelRule::Track,
        };
        if !self.problems.is_empty() {
            return Err(self.problems);
        }
        let (lines, origins, mut tracks) =
            book::opened(entries.into_iter().flatten().collect(), tracks);
        self.names_of_their_own(&tracks);
        if !self.problems.is_empty() {
            return Err(self.problems);
        }
        for (number, track) in (1..).zip(&mut tracks) {
            track.number = number;
        }
        Ok(Lesson {
            title: file.title,
            credits: Credits {
                teacher: file.teacher,
                year: year.and_then(|year| u16::try_from(year).ok()),
                copyright: file.copyright,
            },
            soundfont: file.soundfont,
            seed: seed.unsigned_abs(),
            count_in_bars: count_in.and_then(|bars| u8::try_from(bars).ok()),
            click,
            loudness_target,
            level,
            formats,
            bar_times: file.files.bar_times,
            zip: file.files.zip,
            samples,
            rate,
            notes,
            paper,
            charts: charts.into_iter().flatten().collect(),
            lines,
            origins,
            tracks,
            warnings: self.warnings,
        })
    }

    /// Tracks that lists and exercise books give must not be called as others are. Their numbers
    /// are still those of their entries.
    fn names_of_their_own(&mut self, tracks: &[Track]) {
        for (index, track) in tracks.iter().enumerate() {
            if tracks[..index].iter().any(|earlier| earlier.name == track.name) {
                let at = [Step::Key("track"), Step::Entry(track.number - 1), Step::Key("name")];
                let message = format!("this gives a second track named `{}`", track.name);
                self.say(message, &at, "give each track a name of its own");
            }
        }
    }

    /// Notes a problem with a value.
    pub(super) fn say(
        &mut self,
        message: impl Into<String>,
        path: &[Step<'_>],
        help: impl Into<String>,
    ) {
        let span = self.places.value(path);
        self.problems.push(Problem::new(message, span).help(help));
    }

    /// Which of the allowed words a word is; a problem with the nearest one, where it is none.
    pub(super) fn word(
        &mut self,
        word: &str,
        allowed: &[&str],
        path: &[Step<'_>],
    ) -> Option<usize> {
        let found = allowed.iter().position(|candidate| *candidate == word);
        if found.is_none() {
            let all =
                allowed.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ");
            let help = match nearest(word, allowed.iter().copied()) {
                Some(right) => format!("did you mean \"{right}\"? use {all}"),
                None => format!("use {all}"),
            };
            self.say(format!("`{word}` means nothing here"), path, help);
        }
        found
    }

    /// A number within a range, or a problem and the nearest number that is.
    pub(super) fn in_range(
        &mut self,
        number: i64,
        range: std::ops::RangeInclusive<i64>,
        path: &[Step<'_>],
    ) -> i64 {
        if range.contains(&number) {
            return number;
        }
        let (low, high) = (*range.start(), *range.end());
        let help = match high {
            i64::MAX => format!("use {low} or more"),
            high => format!("use {low} to {high}"),
        };
        self.say(format!("{number} is out of range"), path, help);
        number.clamp(low, high)
    }

    pub(super) fn tempos(&mut self, entry: &TemposEntry, path: &[Step<'_>]) -> Vec<Bpm> {
        // Each with the way to its place.
        let wanted: Vec<(f64, Vec<Step<'_>>)> = match entry {
            TemposEntry::List(list) => {
                let entry = |(index, bpm): (usize, &f64)| (*bpm, vec![Step::Entry(index)]);
                list.iter().enumerate().map(entry).collect()
            }
            TemposEntry::Relative { at, slower } => {
                let place = |index| vec![Step::Key("slower"), Step::Entry(index)];
                let mut tempos = Vec::new();
                for (index, per_cent) in slower.iter().enumerate() {
                    if !(10.0..100.0).contains(per_cent) {
                        let message = format!("{per_cent} per cent is out of range");
                        self.say(message, &[path, &place(index)].concat(), "use 10 to below 100");
                        continue;
                    }
                    tempos.push(((at * per_cent / 100.0 * 10.0).round() / 10.0, place(index)));
                }
                tempos.push((*at, vec![Step::Key("at")]));
                // Slowly first.
                tempos.sort_by(|(one, _), (other, _)| one.total_cmp(other));
                tempos
            }
        };
        if wanted.is_empty() {
            self.say("there is no tempo", path, "name at least one, such as `tempos = [80]`");
        }
        let mut tempos: Vec<Bpm> = Vec::new();
        for (bpm, place) in wanted {
            match Bpm::new(bpm) {
                Ok(tempo) if tempos.contains(&tempo) => {
                    let message = format!("{tempo} is there twice");
                    self.say(message, &[path, &place].concat(), "leave one out");
                }
                Ok(tempo) => tempos.push(tempo),
                Err(error) => {
                    self.say(error.to_string(), &[path, &place].concat(), "use 20 to 400");
                }
            }
        }
        tempos
    }

    fn click(&mut self, entry: &ClickEntry) -> ClickPattern {
        let path = [Step::Key("click"), Step::Key("on")];
        let on = match &entry.on {
            ClickOnEntry::Word(word) => match self.word(word, &["all", "2 and 4", "1"], &path) {
                Some(1) => ClickOn::BackBeats,
                Some(2) => ClickOn::FirstBeat,
                _ => ClickOn::EveryBeat,
            },
            ClickOnEntry::Counts(counts) => {
                let most = Meter::ALL.iter().map(|meter| meter.counts()).max().unwrap_or(4);
                let counts = counts
                    .iter()
                    .enumerate()
                    .map(|(index, count)| {
                        let here = [path[0], path[1], Step::Entry(index)];
                        self.in_range(*count, 1..=i64::from(most), &here)
                    })
                    .filter_map(|count| u8::try_from(count).ok());
                ClickOn::Counts(counts.collect())
            }
        };
        let path = [Step::Key("click"), Step::Key("sound")];
        let sound = match self.word(&entry.sound, &["wood", "soft"], &path) {
            Some(1) => ClickSound::Soft,
            _ => ClickSound::Wood,
        };
        ClickPattern { on, accent: entry.accent, sound }
    }

    fn loudness_target(&mut self, target: f64) -> f64 {
        if (-30.0..=-12.0).contains(&target) {
            return target;
        }
        let path = [Step::Key("level"), Step::Key("target")];
        self.say(format!("a target of {target} LUFS is out of range"), &path, "use -30 to -12");
        target
    }
}

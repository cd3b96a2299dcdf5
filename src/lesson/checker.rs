//! The checks of a lesson that its types cannot make: what refers to what, and what goes with what.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::part::click::{ClickOn, ClickPattern};
use crate::problem::{InternalError, Problem, ProblemList, quoted};
use crate::schema::{Either, Name, Placed};
use crate::style::Library;
use crate::units::Bpm;

use super::file::{ClickEntry, ClickWord, FilesEntry, LessonFile, MOST, TemposEntry};
use super::tracks::Known;
use super::{Credits, Lesson, Neighbours};

/// A lesson under check: its text, and what was found wrong so far.
pub(super) struct Checker<'a> {
    text: &'a str,
    pub(super) neighbours: &'a dyn Neighbours,
    pub(super) library: &'a Library,
    problems: ProblemList,
    /// Whether all that is written could be read. Where it could not, nothing is called missing.
    is_whole: bool,
    pub(super) warnings: Vec<String>,
}

impl<'a> Checker<'a> {
    /// `problems` are those of the parts that could not be read.
    pub(super) fn new(
        text: &'a str,
        neighbours: &'a dyn Neighbours,
        library: &'a Library,
        problems: ProblemList,
    ) -> Checker<'a> {
        let is_whole = problems.is_empty();
        Checker { text, neighbours, library, problems, is_whole, warnings: Vec::new() }
    }

    pub(super) fn lesson(mut self, file: Option<LessonFile>) -> Result<Lesson, ProblemList> {
        let Some(file) = file else { return Err(self.refusal()) };
        let charts = self.charts(&file);
        let lines = self.lines(&file, &charts);
        let tempos = self.tempos(&file.tempos);
        let known = Known { file: &file, charts: &charts, lines: &lines, tempos: &tempos };
        let tracks = self.tracks(known);
        self.formats(&file.files);
        let formats = self.each_once(&file.files.formats, |format| format!("`{}`", format.name()));
        let notes = self.each_once(&file.files.notes, |reader| format!("`{}`", reader.name()));
        let charts: Option<Vec<_>> = charts.into_iter().collect();
        let lines: Option<Vec<_>> = lines.into_iter().map(|entry| entry.lines).collect();
        let (Some(charts), Some(lines), true) = (charts, lines, self.problems.is_empty()) else {
            return Err(self.refusal());
        };
        Ok(Lesson {
            title: file.title.into(),
            credits: Credits {
                teacher: file.teacher.map(String::from),
                year: file.year.map(|year| year.get()),
                copyright: file.copyright.map(String::from),
            },
            soundfont: file.soundfont.map(String::from),
            seed: file.seed,
            count_in_bars: file.count_in.bars.map(|bars| bars.get()),
            click: click(&file.click),
            loudness_target: file.level.target.get(),
            level: file.level.by,
            formats: sorted(formats),
            bar_times: file.files.bar_times,
            zip: file.files.zip,
            samples: file.files.bits.0,
            rate: file.files.rate.0,
            notes: sorted(notes),
            paper: file.files.paper,
            charts,
            lines: lines.into_iter().flatten().collect(),
            tracks,
            warnings: self.warnings,
        })
    }

    /// What is wrong: at least one problem.
    fn refusal(mut self) -> ProblemList {
        if self.problems.is_empty() {
            let error = InternalError::new("the lesson was refused without a reason");
            self.problems.push(Problem::new(error.to_string(), 0..0));
        }
        self.problems
    }

    /// Whether nothing wrong was found so far.
    pub(super) fn is_right_so_far(&self) -> bool {
        self.problems.is_empty()
    }

    /// Notes a problem with what is written at a place.
    pub(super) fn say(
        &mut self,
        message: impl Into<String>,
        span: Range<usize>,
        help: impl Into<String>,
    ) {
        self.problems.push_with(|| Problem::new(message, span).help(help));
    }

    /// Notes a problem with some words under the pointer.
    pub(super) fn say_with_label(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Notes that something is not there. Where a part of the lesson could not be read it may well
    /// be there, and nothing is said.
    pub(super) fn say_missing(
        &mut self,
        message: impl Into<String>,
        span: Range<usize>,
        help: impl Into<String>,
    ) {
        if self.is_whole {
            self.say(message, span, help);
        }
    }

    /// A value as it is written, for messages.
    pub(super) fn written(&self, span: Range<usize>) -> String {
        let written = self.text.get(span).unwrap_or_default();
        quoted(written.trim_matches(['"', '\'']))
    }

    /// The place of part of a text value: `inside` counts bytes of the text itself. Exact for texts
    /// without escapes; the whole value otherwise.
    pub(super) fn inside(&self, whole: Range<usize>, inside: Range<usize>) -> Range<usize> {
        let written = self.text.get(whole.clone()).unwrap_or_default();
        let opening = match written.get(..3) {
            // A line's end right behind the opening quotes belongs to neither.
            Some("\"\"\"" | "'''") if written[3..].starts_with("\r\n") => 5,
            Some("\"\"\"" | "'''") => 3 + usize::from(written[3..].starts_with('\n')),
            _ => 1,
        };
        let start = whole.start + opening + inside.start;
        let end = whole.start + opening + inside.end;
        let plain = !written.contains('\\') && end < whole.end && start <= end;
        if plain && self.text.is_char_boundary(start) && self.text.is_char_boundary(end) {
            start..end
        } else {
            whole
        }
    }

    /// Says where a name is given to a second chart, line or track.
    pub(super) fn names_of_their_own<'n>(
        &mut self,
        what: &str,
        names: impl Iterator<Item = &'n Placed<Name>>,
    ) {
        let mut seen = BTreeSet::new();
        for name in names {
            if !seen.insert(name.as_str()) {
                let message = format!("there are two {what}s named `{}`", quoted(name));
                self.say(message, name.span(), format!("give each {what} a name of its own"));
            }
        }
    }

    /// The entries of a list, each of which may be there once.
    pub(super) fn each_once<T: Clone + PartialEq>(
        &mut self,
        list: &[Placed<T>],
        shown: impl Fn(&T) -> String,
    ) -> Vec<T> {
        let mut entries: Vec<T> = Vec::new();
        for entry in list {
            if entries.contains(entry) {
                let message = format!("{} is there twice", shown(entry));
                self.say(message, entry.span(), "leave one out");
            } else {
                entries.push(T::clone(entry));
            }
        }
        entries
    }

    /// Tempos in the order in which they are made.
    pub(super) fn tempos(&mut self, entry: &TemposEntry) -> Vec<Bpm> {
        let relative = match entry {
            TemposEntry::List(list) => return self.each_once(list, Bpm::to_string),
            TemposEntry::Relative(relative) => relative,
        };
        let at = *relative.at;
        let mut tempos = vec![(at, relative.at.span())];
        for per_cent in relative.slower.iter() {
            match Bpm::new((at.get() * per_cent.get() / 100.0 * 10.0).round() / 10.0) {
                Ok(tempo) => tempos.push((tempo, per_cent.span())),
                Err(error) => self.say(error.to_string(), per_cent.span(), "use 20 to 400"),
            }
        }
        // Slowly first.
        tempos.sort_by(|(one, _), (other, _)| one.get().total_cmp(&other.get()));
        for pair in tempos.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            let message = format!("{} is there twice", pair[1].0);
            self.say(message, pair[1].1.clone(), "leave one out");
        }
        tempos.into_iter().map(|(tempo, _)| tempo).collect()
    }

    fn formats(&mut self, files: &FilesEntry) {
        for format in files.formats.iter().filter(|format| !format.is_built()) {
            self.say(NOT_BUILT, format.span(), HOW_TO_BUILD);
        }
    }

    /// Says so once where a lesson would have too many of something; whether it does.
    pub(super) fn is_too_much(&mut self, count: usize, what: &str, span: Range<usize>) -> bool {
        if count == MOST + 1 {
            let help = "make several lessons of it, and a course of them";
            self.say(format!("the lesson has more than {MOST} {what}"), span, help);
        }
        count > MOST
    }
}

fn sorted<T: Ord>(mut list: Vec<T>) -> Vec<T> {
    list.sort_unstable();
    list
}

fn click(entry: &ClickEntry) -> ClickPattern {
    let on = match &entry.on {
        Either::Single(ClickWord::All) => ClickOn::EveryBeat,
        Either::Single(ClickWord::BackBeats) => ClickOn::BackBeats,
        Either::Single(ClickWord::First) => ClickOn::FirstBeat,
        Either::Several(counts) => {
            ClickOn::Counts(counts.iter().map(|count| count.get()).collect())
        }
    };
    ClickPattern { on, accent: entry.accent, sound: entry.sound }
}

/// What is said where MP3 is asked for and cannot be made.
pub const NOT_BUILT: &str = "this program was built without MP3";
/// What can be done about it.
pub const HOW_TO_BUILD: &str = "build it with MP3: `cargo install --path . --features mp3` (it needs a C compiler), or leave mp3 \
     out; FLAC is always there";

//! The check of the lines.

mod composed;
mod setting;
mod source;

use crate::chart::Chart;
use crate::part::Hand;
use crate::part::line::Line;
use crate::problem::nearest;
use crate::style::Shelf;

use super::book::{EntryLines, Origin, numbered};
use super::checker::Checker;
use super::file::{LessonFile, LineEntry, TrackEntry};
use super::places::Step;
use source::Source;

impl Checker<'_> {
    /// The lines of every entry, in the order of the file; `None` for one that cannot be read.
    pub(super) fn lines(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
    ) -> Vec<Option<EntryLines>> {
        let lines = file.line.iter().enumerate();
        lines.map(|(index, entry)| self.line(file, charts, index, entry)).collect()
    }

    fn line(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        index: usize,
        entry: &LineEntry,
    ) -> Option<EntryLines> {
        let at = |key| [Step::Key("line"), Step::Entry(index), Step::Key(key)];
        if file.line[..index].iter().any(|earlier| earlier.name == entry.name) {
            let message = format!("there are two lines named `{}`", entry.name);
            self.say(message, &at("name"), "give each line a name of its own");
        }
        let hand = self.hand(entry, index);
        if hand == Hand::Left && self.library.find(Shelf::Comp, &entry.name).is_ok() {
            let message = format!("`{}` is a comp style already", entry.name);
            self.say(message, &at("name"), "give the left hand a name of its own");
        }
        let instrument = self.instrument(entry, index);
        let range = self.line_range(entry, index);
        let chart_index = self.chart_index(file, &entry.chart, &at("chart"))?;
        let chart = charts.get(chart_index)?.as_ref()?;
        let named = |name: String, notes, composed| {
            let line = Line::new(&name, chart.key, notes);
            let origin = Origin { name, chart: chart_index, composed };
            (Line { hand, instrument, range: range.clone(), ..line }, origin)
        };
        if self.is_composed(entry, index) {
            let composed = self.composed(entry, index, chart, range.clone(), file.seed)?;
            let several = composed.len() > 1;
            let lines = (1..).zip(composed).map(|(number, composed)| {
                let name = if several { numbered(&entry.name, number) } else { entry.name.clone() };
                named(name, composed::line_notes(&composed), Some(composed))
            });
            return Some(lines.collect());
        }
        let source = self.source(entry, index, chart)?;
        self.length_of(entry, chart, &source);
        Some(vec![named(entry.name.clone(), source.notes, None)])
    }

    /// A line that is longer or shorter than its chart is told: what is over will not be heard.
    fn length_of(&mut self, entry: &LineEntry, chart: &Chart, source: &Source) {
        let bar = chart.meter.bar().0;
        let bars = i64::try_from(chart.bars.len()).unwrap_or(i64::MAX);
        let begins = |at: i64| at.div_euclid(bar) + 1;
        let last = source.notes.iter().map(|note| begins(note.at.0)).max().unwrap_or(0);
        let name = &entry.name;
        if last > bars {
            self.warnings.push(format!(
                "the line {name} goes on to bar {last}, but {} has {bars}: the rest is not heard",
                chart.name
            ));
        } else if source.bars < bars {
            self.warnings.push(format!(
                "the line {name} ends in bar {}, and {} has {bars}",
                source.bars.max(1),
                chart.name
            ));
        }
    }

    /// The line of a name that a track plays, as an index.
    pub(super) fn line_of(
        &mut self,
        file: &LessonFile,
        entry: &TrackEntry,
        name: &str,
        path: &[Step<'_>],
    ) -> Option<usize> {
        let found = file.line.iter().position(|line| line.name == name);
        match found {
            None => {
                let names = file.line.iter().map(|line| line.name.as_str());
                let help = nearest(name, names).map(|right| format!("did you mean `{right}`?"));
                let help = help.unwrap_or_else(|| "add a [[line]] of this name".to_owned());
                self.say(format!("there is no line named `{name}`"), path, help);
            }
            Some(line) if is_left(&file.line[line]) => {
                let message = format!("the line `{name}` is for the left hand");
                self.say(message, path, format!("write comp = \"{name}\""));
            }
            Some(line) => self.same_chart(&file.line[line], entry, path),
        }
        found
    }

    /// The left hand of a name that a track plays in place of a comp style, as an index.
    pub(super) fn left_hand_of(
        &mut self,
        file: &LessonFile,
        entry: &TrackEntry,
        name: &str,
        path: &[Step<'_>],
    ) -> Option<usize> {
        let found = file.line.iter().position(|line| line.name == name && is_left(line))?;
        self.same_chart(&file.line[found], entry, path);
        Some(found)
    }

    fn same_chart(&mut self, line: &LineEntry, track: &TrackEntry, path: &[Step<'_>]) {
        if line.chart != track.chart {
            let message = format!("the line `{}` was written over another chart", line.name);
            self.say(message, path, format!("it goes with `{}`", line.chart));
        }
    }
}

fn is_left(line: &LineEntry) -> bool {
    line.hand.as_deref() == Some("left")
}

//! The check of the lines.

mod setting;
mod source;
mod to_compose;

use std::ops::Range;

use crate::chart::Chart;
use crate::part::Hand;
use crate::part::line::LineNote;
use crate::problem::{nearest, quoted};
use crate::schema::{Name, Placed};
use crate::style::Shelf;
use crate::units::{Meters, Ticks};

use super::checker::Checker;
use super::file::{LessonFile, LineEntry, TrackEntry};
use super::tracks::Known;
use super::{LineId, LineNotes, LineSpec};
use source::Source;

/// The lines of one entry: one, or as many as an exercise book has.
pub(super) struct EntryLines {
    /// `None` where the entry cannot be read.
    pub(super) lines: Option<Vec<LineSpec>>,
    /// The references to them.
    pub(super) ids: Vec<LineId>,
}

impl Checker<'_> {
    /// The lines of every entry, in the order of the file.
    pub(super) fn lines(&mut self, file: &LessonFile, charts: &[Option<Chart>]) -> Vec<EntryLines> {
        self.names_of_their_own("line", file.line.iter().map(|entry| &entry.name));
        let mut count = 0;
        let mut entries = Vec::new();
        for entry in file.line.iter() {
            let lines = self.line(file, charts, entry);
            let mut ids = Vec::new();
            for _ in lines.iter().flatten() {
                ids.push(LineId(count));
                count += 1;
                if self.is_too_much(count, "lines", entry.name.span()) {
                    return entries;
                }
            }
            entries.push(EntryLines { lines, ids });
        }
        entries
    }

    fn line(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        entry: &Placed<LineEntry>,
    ) -> Option<Vec<LineSpec>> {
        let hand = entry.hand.unwrap_or(Hand::Right);
        if hand == Hand::Left && self.library.find(Shelf::Comp, &entry.name).is_ok() {
            let message = format!("`{}` is a comp style already", quoted(&entry.name));
            self.say(message, entry.name.span(), "give the left hand a name of its own");
        }
        let chart_id = self.chart_named(file, &entry.chart)?;
        let chart = charts.get(chart_id.0)?.as_ref()?;
        let line = |name: String, notes| LineSpec {
            name,
            entry: String::from(Name::clone(&entry.name)),
            chart: chart_id,
            hand,
            instrument: entry.instrument.as_ref().map(|name| (***name, name.span())),
            range: entry.range.as_ref().map(|range| (**range).clone()),
            notes,
        };
        if self.is_composed(entry) {
            let requests = self.requests(entry, chart, file.seed)?;
            let several = requests.len() > 1;
            let lines = (1..).zip(requests).map(|(number, request)| {
                let name =
                    if several { numbered(&entry.name, number) } else { entry.name.to_string() };
                line(name, LineNotes::ToCompose(request))
            });
            return Some(lines.collect());
        }
        let source = self.source(entry, chart)?;
        self.length_of(entry, chart, &source);
        Some(vec![line(entry.name.to_string(), LineNotes::Written(source.notes))])
    }

    /// Warns of a line that is longer or shorter than its chart: what is over will not be heard.
    fn length_of(&mut self, entry: &LineEntry, chart: &Chart, source: &Source) {
        let meters = chart.meters();
        let meters = Meters::new(&meters, chart.meter);
        let last = chart.roadmap.last.iter().flatten();
        let own = chart.bars.iter().chain(last).map(|bar| i64::from(bar.form_bar) + 1);
        let most = own.max().unwrap_or(0);
        let bars: i64 = chart.bars.iter().map(|_| 1).sum();
        let begins = |note: &LineNote| meters.count(note.at + Ticks(1));
        let last = source.notes.iter().map(begins).max().unwrap_or(0);
        let name = entry.name.as_str();
        if last > most {
            self.warnings.push(format!(
                "the line {name} goes on to bar {last}, but {} has {most}: the rest is not heard",
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

    /// The lines of a name that a track plays.
    pub(super) fn lines_named<'l>(
        &mut self,
        known: Known<'l>,
        track: &TrackEntry,
        name: &Name,
        place: Range<usize>,
    ) -> &'l [LineId] {
        let file = known.file;
        let Some(found) = file.line.iter().position(|line| **line.name == **name) else {
            let names = file.line.iter().map(|line| line.name.as_str());
            let help = nearest(name, names).map(|right| format!("did you mean `{right}`?"));
            let help = help.unwrap_or_else(|| "add a [[line]] of this name".to_owned());
            self.say(format!("there is no line named `{}`", quoted(name)), place, help);
            return &[];
        };
        let line = &file.line[found];
        if is_left(line) {
            let message = format!("the line `{}` is for the left hand", quoted(name));
            self.say(message, place, format!("write comp = \"{}\"", quoted(name)));
        } else {
            self.same_chart(line, track, place);
        }
        known.lines.get(found).map_or(&[], |entry| &entry.ids)
    }

    /// The left hand of a name that a track plays in place of a comp style; `None` where no left
    /// hand has this name.
    pub(super) fn left_hand_named<'l>(
        &mut self,
        known: Known<'l>,
        track: &TrackEntry,
        name: &Name,
        place: Range<usize>,
    ) -> Option<&'l [LineId]> {
        let file = known.file;
        let is_it = |line: &Placed<LineEntry>| **line.name == **name && is_left(line);
        let found = file.line.iter().position(is_it)?;
        self.same_chart(&file.line[found], track, place);
        Some(known.lines.get(found).map_or(&[], |entry| &entry.ids))
    }

    fn same_chart(&mut self, line: &LineEntry, track: &TrackEntry, place: Range<usize>) {
        if *line.chart != *track.chart {
            let message =
                format!("the line `{}` was written over another chart", quoted(&line.name));
            self.say(message, place, format!("it goes with `{}`", quoted(&line.chart)));
        }
    }
}

fn is_left(line: &LineEntry) -> bool {
    line.hand == Some(Hand::Left)
}

/// A name with a number that sorts up to 99.
pub(super) fn numbered(name: &str, number: usize) -> String {
    format!("{name} {number:02}")
}

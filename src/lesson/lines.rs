//! The check of the lines.

use crate::chart::Chart;
use crate::codec::smf;
use crate::part::line::{Line, LineNote};
use crate::problem::nearest;
use crate::units::Ticks;

use super::checker::Checker;
use super::file::{LessonFile, LineEntry, TrackEntry};
use super::places::Step;

/// The channel of percussion in General MIDI, counted from 0: drums are no line.
const PERCUSSION_CHANNEL: u8 = 9;

impl Checker<'_> {
    /// All lines, in the order of the file; `None` for one that cannot be read.
    pub(super) fn lines(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
    ) -> Vec<Option<Line>> {
        let lines = file.line.iter().enumerate();
        lines.map(|(index, entry)| self.line(file, charts, index, entry)).collect()
    }

    fn line(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        index: usize,
        entry: &LineEntry,
    ) -> Option<Line> {
        let at = |key| [Step::Key("line"), Step::Entry(index), Step::Key(key)];
        if file.line[..index].iter().any(|earlier| earlier.name == entry.name) {
            let message = format!("there are two lines named `{}`", entry.name);
            self.say(message, &at("name"), "give each line a name of its own");
        }
        let chart = self.chart_index(file, &entry.chart, &at("chart"))?;
        let chart = charts.get(chart)?.as_ref()?;
        let pickup = entry.pickup.unwrap_or(0.0);
        if !(0.0..=16.0).contains(&pickup) {
            self.say(
                format!("a pickup of {pickup} beats is out of range"),
                &at("pickup"),
                "use 0 to 16",
            );
            return None;
        }
        let read = self.neighbours.read(&entry.midi).map_err(|error| error.to_string());
        let song = read.and_then(|bytes| smf::read(&bytes).map_err(|error| error.to_string()));
        let song = match song {
            Ok(song) => song,
            Err(error) => {
                let help = "the path counts from the lesson's folder; it must be a MIDI file";
                self.say(format!("{}: {error}", entry.midi), &at("midi"), help);
                return None;
            }
        };
        #[expect(clippy::cast_possible_truncation, reason = "at most 16 beats")]
        #[expect(clippy::cast_precision_loss, reason = "a beat is below 2,000 ticks")]
        let before = Ticks((pickup * chart.meter.beat().0 as f64).round() as i64);
        let mut notes: Vec<LineNote> = song
            .tracks
            .iter()
            .filter(|track| track.channel != PERCUSSION_CHANNEL)
            .flat_map(|track| &track.notes)
            .map(|note| LineNote {
                at: note.on - before,
                length: note.off - note.on,
                pitch: note.pitch,
                velocity: note.velocity,
            })
            .collect();
        notes.sort_by_key(|note| (note.at, note.pitch));
        self.length_of(entry, chart, &notes);
        if notes.is_empty() {
            self.say(format!("{} has no notes", entry.midi), &at("midi"), "write some");
            return None;
        }
        Some(Line { key: chart.key, notes })
    }

    /// A line that is longer than its chart is told: what is over will not be heard.
    fn length_of(&mut self, entry: &LineEntry, chart: &Chart, notes: &[LineNote]) {
        let bar = chart.meter.bar().0;
        let bars = i64::try_from(chart.bars.len()).unwrap_or(i64::MAX);
        let last = notes.iter().map(|note| note.at.0.div_euclid(bar) + 1).max().unwrap_or(0);
        if last > bars {
            self.warnings.push(format!(
                "the line {} goes on to bar {last}, but {} has {bars}: the rest is not heard",
                entry.name, chart.name
            ));
        }
    }

    /// The line that a track plays, as an index.
    pub(super) fn line_of(
        &mut self,
        file: &LessonFile,
        entry: &TrackEntry,
        index: usize,
    ) -> Option<usize> {
        let name = entry.line.as_ref()?;
        let path = [Step::Key("track"), Step::Entry(index), Step::Key("line")];
        let found = file.line.iter().position(|line| line.name == *name);
        match found {
            None => {
                let names = file.line.iter().map(|line| line.name.as_str());
                let help = nearest(name, names).map(|right| format!("did you mean `{right}`?"));
                let help = help.unwrap_or_else(|| "add a [[line]] of this name".to_owned());
                self.say(format!("there is no line named `{name}`"), &path, help);
            }
            Some(line) if file.line[line].chart != entry.chart => {
                let message = format!("the line `{name}` was written over another chart");
                self.say(message, &path, format!("it goes with `{}`", file.line[line].chart));
            }
            Some(_) => {}
        }
        found
    }
}

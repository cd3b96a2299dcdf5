//! A chart as text: bars four to a line, aligned, as one would write it.

use std::fmt;

use super::{Bar, Chart, Pace, Setting, Slot};
use crate::units::Meter;

/// Bars on one line.
const BARS_IN_LINE: usize = 4;

/// A chart written out again: what a [`ChartSource`](super::ChartSource) is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChartText {
    /// The sections of a chorus in the order in which they are played.
    pub form: String,
    /// Those of the last chorus, where it differs.
    pub last: Option<String>,
    /// Each section with its bars, in the order in which they first come.
    pub sections: Vec<(String, String)>,
    /// What is other in a section than in its chart, by its name: key, meter, feel, tempo, hits.
    pub within: Vec<(String, String)>,
}

impl Chart {
    /// The chart as text. Reading it again gives the same bars, with the same section names if
    /// these were single words and every section of a name was the same.
    #[must_use]
    pub fn to_text(&self) -> ChartText {
        let mut sections: Vec<(String, &[Bar])> = Vec::new();
        let roadmap = &self.roadmap;
        named(&roadmap.intro, &mut sections);
        let form = named(&self.bars, &mut sections).join(" ");
        named(&roadmap.interlude, &mut sections);
        let last = roadmap.last.as_deref().map(|last| named(last, &mut sections).join(" "));
        named(&roadmap.outro, &mut sections);
        let cells: Vec<Vec<String>> = sections.iter().map(|(_, bars)| cells(bars)).collect();
        let widths = column_widths(&cells);
        let texts = cells.iter().map(|cells| lines(cells, &widths));
        let within = sections
            .iter()
            .map(|(name, bars)| (name.clone(), self.other_in(bars)))
            .filter(|(_, other)| !other.is_empty())
            .collect();
        ChartText {
            form,
            last,
            within,
            sections: sections.into_iter().map(|(name, _)| name).zip(texts).collect(),
        }
    }

    /// What is other in the bars of a section; empty where nothing is.
    fn other_in(&self, bars: &[Bar]) -> String {
        let (Some(first), Some(last)) = (bars.first(), bars.last()) else { return String::new() };
        let Setting { key, meter, feel, pace } = first.setting;
        let (from, to) = (pace.start(), last.setting.pace.end());
        let pace = if from == to { from.to_string() } else { format!("{from} to {to}") };
        let hits = bars.iter().rposition(|bar| bar.hits.is_some()).map(|last| {
            let bar = |bar: &Bar| {
                let hits = bar.hits.as_ref();
                hits.map_or_else(|| ".".to_owned(), |hits| hits.shown(bar.setting.meter))
            };
            let bars: Vec<String> = bars[..=last].iter().map(bar).collect();
            format!("hits | {} |", bars.join(" | "))
        });
        let others = [
            (key != self.key).then(|| key.to_string()),
            (meter != self.meter).then(|| meter.to_string()),
            (feel != self.feel).then(|| feel.to_string()),
            ((from, to) != (Pace::STEADY, Pace::STEADY)).then_some(pace),
            hits,
        ];
        others.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// A heading, the form where there is more than one section, then the sections.
impl fmt::Display for Chart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}: {}, {}, {}", self.name, self.key, self.meter, self.feel)?;
        let text = self.to_text();
        let labels = text.sections.iter().map(|(name, _)| name.chars().count());
        let margin = labels.max().unwrap_or(0).max("form".len());
        if text.sections.len() > 1 || text.form.contains(' ') {
            writeln!(f, "{:margin$}  {}", "form", text.form)?;
        }
        if let Some(last) = &text.last {
            writeln!(f, "{:margin$}  {last}", "last")?;
        }
        for (name, bars) in &text.sections {
            for (index, line) in bars.lines().enumerate() {
                let label = if index == 0 { name.as_str() } else { "" };
                writeln!(f, "{label:margin$}  {line}")?;
            }
        }
        if !text.within.is_empty() {
            let within = text.within.iter().map(|(name, other)| format!("{name}: {other}"));
            writeln!(f, "within: {}", within.collect::<Vec<_>>().join("; "))?;
        }
        Ok(())
    }
}

/// Takes bars apart into their sections, and gives back the names of these.
fn named<'b>(bars: &'b [Bar], sections: &mut Vec<(String, &'b [Bar])>) -> Vec<String> {
    let parts = bars.chunk_by(|_, next| next.section.is_none());
    let name = |bars: &'b [Bar]| {
        let name = name_for(bars, sections);
        if sections.iter().all(|(known, _)| *known != name) {
            sections.push((name.clone(), bars));
        }
        name
    };
    parts.map(name).collect()
}

/// The name of a section: its own, made one word; with a number where that name already stands
/// for other bars.
fn name_for(bars: &[Bar], known: &[(String, &[Bar])]) -> String {
    let own = bars.first().and_then(|bar| bar.section.as_deref()).unwrap_or("A");
    let word = own.split_whitespace().collect::<Vec<_>>().join("-");
    let word = if word.is_empty() { "A".to_owned() } else { word };
    let same = |other: &[Bar]| {
        bars.len() == other.len()
            && bars.iter().zip(other).all(|(bar, other)| bar.slots == other.slots)
    };
    let mut names = std::iter::once(word.clone()).chain((2..).map(|n: u32| format!("{word}{n}")));
    let fits = |name: &String| {
        known.iter().find(|(taken, _)| taken == name).is_none_or(|(_, other)| same(other))
    };
    names.find(fits).unwrap_or(word)
}

/// What stands between the bar lines.
fn cells(bars: &[Bar]) -> Vec<String> {
    let before = std::iter::once(None).chain(bars.iter().map(Some));
    let cell = |(before, bar): (Option<&Bar>, &Bar)| {
        if before.is_some_and(|before| before.slots == bar.slots) {
            "%".to_owned()
        } else {
            cell(&bar.slots, bar.setting.meter)
        }
    };
    before.zip(bars).map(cell).collect()
}

/// The chords of a bar: by themselves where they share it evenly, else in slash notation.
fn cell(slots: &[Slot], meter: Meter) -> String {
    let names: Vec<String> = slots.iter().map(name).collect();
    let number = slots.len();
    let is_even = slots.iter().all(|slot| slot.length == slots[0].length);
    let [beats, counts] = [meter.beats(), meter.counts()].map(usize::from);
    if is_even && (beats.is_multiple_of(number) || number == counts) {
        return names.join(" ");
    }
    let on_beats = slots.iter().all(|slot| slot.length.0 % meter.beat().0 == 0);
    let token = if on_beats { meter.beat() } else { meter.count() };
    let mut tokens = Vec::new();
    for (slot, name) in slots.iter().zip(names) {
        tokens.push(name);
        let more = slot.length.0 / token.0 - 1;
        tokens.extend((0..more).map(|_| "/".to_owned()));
    }
    tokens.join(" ")
}

fn name(slot: &Slot) -> String {
    slot.chord.as_ref().map_or_else(|| "N.C.".to_owned(), ToString::to_string)
}

/// How wide each of the columns is, over all sections.
fn column_widths(sections: &[Vec<String>]) -> [usize; BARS_IN_LINE] {
    let mut widths = [0; BARS_IN_LINE];
    for line in sections.iter().flat_map(|cells| cells.chunks(BARS_IN_LINE)) {
        for (width, cell) in widths.iter_mut().zip(line) {
            *width = (*width).max(cell.chars().count());
        }
    }
    widths
}

fn lines(cells: &[String], widths: &[usize; BARS_IN_LINE]) -> String {
    let line = |cells: &[String]| {
        let padded = cells.iter().zip(widths).map(|(cell, width)| format!(" {cell:width$} |"));
        format!("|{}", padded.collect::<String>())
    };
    cells.chunks(BARS_IN_LINE).map(line).collect::<Vec<_>>().join("\n")
}

//! The check of composed lines.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use crate::chart::Chart;
use crate::compose::{Composed, Request, Share, compose};
use crate::lesson::checker::Checker;
use crate::lesson::file::{LineEntry, ShareEntry, TechniqueEntry};
use crate::lesson::places::Step;
use crate::melody::{Form, Technique};
use crate::part::line::{Force, LineNote};

/// The most lines that one entry makes.
const MOST_LINES: i64 = 99;

/// How often a line may breathe, in bars.
const BREATHE: RangeInclusive<i64> = 0..=64;

/// How far a line can be moved against the bar, in eighth notes: less than half a bar, which the
/// closing note has.
const DISPLACE: RangeInclusive<i64> = 0..=3;

/// The notes of a composed line, to be phrased.
pub(super) fn line_notes(composed: &Composed) -> Vec<LineNote> {
    let notes = composed.notes.iter();
    notes
        .map(|note| LineNote {
            at: note.at,
            length: note.length,
            pitch: note.pitch,
            name: None,
            force: Force::Phrased,
        })
        .collect()
}

impl Checker<'_> {
    /// Whether an entry is to be composed. Notes of its own beside a technique, and the keys of
    /// composed lines without one, are problems.
    pub(super) fn is_composed(&mut self, entry: &LineEntry, index: usize) -> bool {
        let path = |key| [Step::Key("line"), Step::Entry(index), Step::Key(key)];
        let composed = entry.technique.is_some();
        let written = [
            ("abc", entry.abc.is_some()),
            ("midi", entry.midi.is_some()),
            ("musicxml", entry.musicxml.is_some()),
            ("pickup", entry.pickup.is_some()),
        ];
        let to_compose = [
            ("seed", entry.seed.is_some()),
            ("count", entry.count.is_some()),
            ("bars", entry.bars.is_some()),
            ("breathe", entry.breathe.is_some()),
            ("displace", entry.displace.is_some()),
        ];
        let (wrong, help): (&[(&str, bool)], _) = if composed {
            (&written, "leave it out: `technique` composes the line")
        } else {
            (&to_compose, "leave it out, or write `technique` in place of the notes")
        };
        for (key, _) in wrong.iter().filter(|(_, there)| *there) {
            let message = if composed {
                format!("a composed line has no `{key}`")
            } else {
                format!("`{key}` belongs to composed lines")
            };
            self.say(message, &path(key), help);
        }
        composed
    }

    /// The composed lines of an entry: one for each seed. `range` is what the entry asks for.
    pub(super) fn composed(
        &mut self,
        entry: &LineEntry,
        index: usize,
        chart: &Chart,
        range: Option<RangeInclusive<u8>>,
        lesson_seed: i64,
    ) -> Option<Vec<Composed>> {
        let path = |key| [Step::Key("line"), Step::Entry(index), Step::Key(key)];
        let techniques = self.shares(entry, index, chart)?;
        let seed = self.in_range(entry.seed.unwrap_or(lesson_seed), 0..=i64::MAX, &path("seed"));
        let count = self.in_range(entry.count.unwrap_or(1), 1..=MOST_LINES, &path("count"));
        let usual = i64::from(Request::BREATHE);
        let breathe = self.in_range(entry.breathe.unwrap_or(usual), BREATHE, &path("breathe"));
        let displace = self.in_range(entry.displace.unwrap_or(0), DISPLACE, &path("displace"));
        let form = Form::of(chart);
        let mut lines = Vec::new();
        let mut told = BTreeSet::new();
        for number in 0..count {
            let request = Request {
                techniques: techniques.clone(),
                seed: seed.saturating_add(number).unsigned_abs(),
                range: range.clone().unwrap_or(Request::RANGE),
                breathe: u32::try_from(breathe).unwrap_or(Request::BREATHE),
                displace: u8::try_from(displace).unwrap_or(0),
            };
            let line = compose(&form, &request);
            let fallbacks = line.fallbacks.iter().map(ToString::to_string);
            told.extend(fallbacks.map(|told| format!("the line {}, {told}", entry.name)));
            lines.push(line);
        }
        self.warnings.extend(told);
        if lines.iter().any(|line| line.notes.is_empty()) {
            let help = "the chart needs a chord in the bars that it is limited to";
            self.say("the composed line has no notes", &path("technique"), help);
            return None;
        }
        Some(lines)
    }

    /// The techniques of an entry.
    fn shares(&mut self, entry: &LineEntry, index: usize, chart: &Chart) -> Option<Vec<Share>> {
        let path = [Step::Key("line"), Step::Entry(index), Step::Key("technique")];
        let bars_path = [Step::Key("line"), Step::Entry(index), Step::Key("bars")];
        let all_bars = match &entry.bars {
            Some(text) => self.bars(text, chart, &bars_path)?,
            None => Vec::new(),
        };
        let entries: Vec<(&str, f64, Option<&str>)> = match entry.technique.as_ref()? {
            TechniqueEntry::Name(name) => vec![(name, 1.0, None)],
            TechniqueEntry::Shares(shares) => shares
                .iter()
                .map(|(name, share)| match share {
                    ShareEntry::Weight(weight) => (name.as_str(), *weight, None),
                    ShareEntry::Limited { weight, bars } => {
                        (name.as_str(), weight.unwrap_or(1.0), Some(bars.as_str()))
                    }
                })
                .collect(),
        };
        let mut shares = Vec::new();
        for (name, weight, bars) in entries {
            let technique = match name.parse::<Technique>() {
                Ok(technique) => technique,
                Err(error) => {
                    let help = "`countoff techniques` lists what there is";
                    self.say(error.to_string(), &path, help);
                    return None;
                }
            };
            if !(weight > 0.0 && weight <= 1000.0) {
                let message = format!("a weight of {weight} is out of range");
                self.say(message, &path, "use a number above 0, up to 1000");
                return None;
            }
            let bars = match bars {
                Some(text) => self.bars(text, chart, &path)?,
                None => all_bars.clone(),
            };
            shares.push(Share { technique, weight, bars });
        }
        if shares.is_empty() {
            self.say("no technique is named", &path, "name one, such as \"scale-runs\"");
            return None;
        }
        Some(shares)
    }

    /// Bars of the chart: `1-4, 7`.
    fn bars(
        &mut self,
        text: &str,
        chart: &Chart,
        path: &[Step<'_>],
    ) -> Option<Vec<RangeInclusive<u32>>> {
        let last = u32::try_from(chart.bars.len()).unwrap_or(u32::MAX);
        let range = |part: &str| {
            let (first, end) = part.split_once('-').unwrap_or((part, part));
            let (first, end) = (first.trim().parse().ok()?, end.trim().parse().ok()?);
            (1 <= first && first <= end && end <= last).then_some(first..=end)
        };
        let bars: Option<Vec<_>> = text.split(',').map(range).collect();
        if bars.is_none() {
            let message = format!("`{text}` names no bars of this chart");
            let help = format!("write them as \"1-4, 7\"; the chart has {last}");
            self.say(message, path, help);
        }
        bars
    }
}

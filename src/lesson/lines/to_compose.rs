//! The check of lines that will be composed.

use std::ops::RangeInclusive;

use crate::chart::Chart;
use crate::compose::{Request, Rhythm, Share, Upper};
use crate::lesson::checker::Checker;
use crate::lesson::file::{Bars, LineEntry, ShareEntry};
use crate::melody::Technique;
use crate::random::Seed;
use crate::schema::{Either, Placed};

impl Checker<'_> {
    /// Whether an entry is to be composed. Notes of its own beside a technique, and the keys of
    /// composed lines without one, are problems.
    pub(super) fn is_composed(&mut self, entry: &LineEntry) -> bool {
        let composed = entry.technique.is_some();
        let written = [
            ("abc", entry.abc.as_ref().map(Placed::span)),
            ("midi", entry.midi.as_ref().map(Placed::span)),
            ("musicxml", entry.musicxml.as_ref().map(Placed::span)),
            ("pickup", entry.pickup.as_ref().map(Placed::span)),
        ];
        let to_compose = [
            ("seed", entry.seed.as_ref().map(Placed::span)),
            ("count", entry.count.as_ref().map(Placed::span)),
            ("bars", entry.bars.as_ref().map(Placed::span)),
            ("rhythm", entry.rhythm.as_ref().map(Placed::span)),
            ("upper", entry.upper.as_ref().map(Placed::span)),
            ("breathe", entry.breathe.as_ref().map(Placed::span)),
            ("displace", entry.displace.as_ref().map(Placed::span)),
        ];
        let wrong = if composed { &written[..] } else { &to_compose[..] };
        for (key, span) in wrong.iter().filter_map(|(key, span)| Some((key, span.clone()?))) {
            if composed {
                let help = "leave it out: `technique` composes the line";
                self.say(format!("a composed line has no `{key}`"), span, help);
            } else {
                let help = "leave it out, or write `technique` in place of the notes";
                self.say_missing(format!("`{key}` belongs to composed lines"), span, help);
            }
        }
        composed
    }

    /// What is to be composed for an entry: a line for each of as many seeds as it asks for.
    pub(super) fn requests(
        &mut self,
        entry: &LineEntry,
        chart: &Chart,
        seed_of_lesson: Seed,
    ) -> Option<Vec<Request>> {
        let techniques = self.shares(entry, chart)?;
        let seed = entry.seed.as_ref().map_or(seed_of_lesson, |seed| **seed);
        let count = entry.count.as_ref().map_or(1, |count| count.get());
        let asked = entry.rhythm.as_ref().and_then(|grade| Rhythm::of_grade(grade.get()));
        let hardest = techniques.iter().map(|share| Rhythm::of(share.technique)).max();
        let rhythm = asked.or(hardest).unwrap_or(Rhythm::OffBeats);
        let request = |number: u8| Request {
            techniques: techniques.clone(),
            seed: seed.of_number(u64::from(number)).0,
            range: entry.range.as_ref().map_or(Request::RANGE, |range| (**range).clone()),
            rhythm,
            upper: entry.upper.as_ref().map_or(Upper::HalfStep, |upper| **upper),
            breathe: entry.breathe.as_ref().map_or(Request::BREATHE, |bars| bars.get()),
            displace: entry.displace.as_ref().map_or(0, |eighths| eighths.get()),
        };
        Some((0..count).map(request).collect())
    }

    /// The techniques of an entry, by name.
    fn shares(&mut self, entry: &LineEntry, chart: &Chart) -> Option<Vec<Share>> {
        let technique = entry.technique.as_ref()?;
        if chart.bars.iter().any(|bar| bar.setting.meter != chart.meter) {
            let message =
                format!("{} changes its meter, and no line is composed over that", chart.name);
            let help = "write the line, or compose it over a chart of the sections in one meter";
            self.say(message, technique.span(), help);
            return None;
        }
        let all_bars = self.bars(entry.bars.as_ref(), chart)?;
        let share = |technique: Technique, weight, bars| Share { technique, weight, bars };
        let mut shares = Vec::new();
        match &**technique {
            Either::Single(technique) => shares.push(share(*technique, 1.0, all_bars)),
            Either::Several(listed) => {
                for (technique, entry) in &listed.0 {
                    let (weight, bars) = match &**entry {
                        ShareEntry::Single(weight) => (Some(*weight), all_bars.clone()),
                        ShareEntry::Several(limited) => {
                            (limited.weight, self.bars(Some(&limited.bars), chart)?)
                        }
                    };
                    shares.push(share(*technique, weight.unwrap_or_default().get(), bars));
                }
            }
        }
        shares.sort_by_key(|share| share.technique.name());
        let is_in = |share: &Share, bar: u32| {
            share.bars.is_empty() || share.bars.iter().any(|bars| bars.contains(&bar))
        };
        let mut bars = (1..)
            .zip(&chart.bars)
            .filter(|(_, bar)| bar.slots.iter().any(|slot| slot.chord.is_some()));
        if !bars.any(|(number, _)| shares.iter().any(|share| is_in(share, number))) {
            let help = "the chart needs a chord in the bars that it is limited to";
            self.say("the composed line has no notes", technique.span(), help);
            return None;
        }
        Some(shares)
    }

    /// Bars of the chart; none where all are meant.
    fn bars(
        &mut self,
        bars: Option<&Placed<Bars>>,
        chart: &Chart,
    ) -> Option<Vec<RangeInclusive<u32>>> {
        let Some(bars) = bars else { return Some(Vec::new()) };
        let last = chart.bars.len();
        let is_there = |range: &RangeInclusive<u32>| {
            usize::try_from(*range.end()).is_ok_and(|end| end <= last)
        };
        if !bars.iter().all(is_there) {
            let written = self.written(bars.span());
            let message = format!("`{written}` names no bars of this chart");
            let help = format!("write them as \"1-4, 7\"; the chart has {last}");
            self.say(message, bars.span(), help);
            return None;
        }
        Some(bars.to_vec())
    }
}

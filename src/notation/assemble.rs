//! Bars become a score: signatures, bar lines, marks, notes.

use super::Heading;
use super::bars::{NotatedBar, bars};
use super::layout::{Layout, PartLayout};
use super::opening::{changes, opening};
use super::repeats::{RepeatedBar, repeats};
use super::staff::StaffWriter;
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::codec::musicxml::score::{
    Attributes, Barline, Direction, Ending, EndingKind, Item, Mark, Repeat, Score, ScoreMeasure,
    ScorePart,
};
use crate::codec::musicxml::{KeySignature, TimeSignature};
use crate::problem::InternalError;
use crate::theory::{Key, Mode};
use crate::units::{Meter, Ticks};

/// Bars on a line of the page.
const BARS_A_SYSTEM: usize = 4;

/// A whole page.
pub(super) fn score(
    timeline: &Timeline,
    layout: &Layout,
    straight: bool,
    heading: &Heading,
) -> Result<Score, InternalError> {
    let all_staves: Vec<_> =
        layout.parts.iter().flat_map(|part| &part.staves).map(|(_, notes)| notes.clone()).collect();
    let notated = bars(timeline, &all_staves)?;
    let order = repeats(timeline, &notated);
    let mut first_staff = 0;
    let mut parts = Vec::new();
    for part in &layout.parts {
        let page = Page { timeline, bars: &notated, order: &order, part, first_staff };
        let opening = (first_staff == 0).then(|| opening(timeline, straight, heading));
        parts.push(ScorePart {
            name: part.name.to_owned(),
            program: part.program,
            measures: page.measures(opening),
        });
        first_staff += part.staves.len();
    }
    Ok(Score {
        title: heading.title.clone(),
        arranger: heading.arranger.clone(),
        rights: heading.rights.clone(),
        software: concat!("countoff ", env!("CARGO_PKG_VERSION")).to_owned(),
        parts,
    })
}

/// The measure in which each bar of a timeline is written, by its index in the timeline; none for
/// bars that are not written. Bars within a repeat share a measure.
pub(super) fn measures(
    timeline: &Timeline,
    layout: &Layout,
) -> Result<Vec<Option<usize>>, InternalError> {
    let all_staves: Vec<_> =
        layout.parts.iter().flat_map(|part| &part.staves).map(|(_, notes)| notes.clone()).collect();
    let notated = bars(timeline, &all_staves)?;
    let order = repeats(timeline, &notated);
    let mut measures = vec![None; timeline.bars.len()];
    for (measure, written) in order.iter().enumerate() {
        for index in written.copies.iter().chain([&written.index]) {
            let bar = notated.get(*index).and_then(|bar| measures.get_mut(bar.bar));
            *bar.ok_or_else(|| InternalError::new("a repeated bar is not in its timeline"))? =
                Some(measure);
        }
    }
    Ok(measures)
}

/// One part of a page.
struct Page<'a> {
    timeline: &'a Timeline,
    bars: &'a [NotatedBar],
    order: &'a [RepeatedBar],
    part: &'a PartLayout,
    /// Its first staff among all of the page.
    first_staff: usize,
}

impl Page<'_> {
    fn measures(&self, opening: Option<Direction>) -> Vec<ScoreMeasure> {
        let mut opening = opening;
        let mut before = None;
        let mut on_system = 0;
        let mut number = 0;
        let mut measures = Vec::with_capacity(self.order.len());
        for (place, repeated) in self.order.iter().enumerate() {
            let (notated, bar) = self.bar(repeated);
            let is_pickup = !bar.kind.is_played();
            if !is_pickup {
                number += 1;
            }
            // An announcement stands before the chorus that it announces, on its line.
            let is_announcement = bar.kind == BarKind::Announce;
            let begins = bar.section.is_some() || is_announcement;
            // A later ending stands beside the first one.
            let is_later_ending = !repeated.ending.is_empty() && !repeated.ending.contains(&1);
            let stays = bar.kind == BarKind::Ending || is_later_ending;
            let is_full = on_system >= BARS_A_SYSTEM && !stays;
            let new_system = place > 0 && on_system > 0 && (begins || is_full);
            let counts = !is_pickup && !is_announcement;
            on_system = usize::from(counts) + if new_system { 0 } else { on_system };

            let mut items = Vec::new();
            items.extend(self.left_barline(repeated).map(Item::Barline));
            let attributes = self.attributes(place == 0, bar, &mut before);
            items.extend(attributes.map(Item::Attributes));
            if self.first_staff == 0 {
                items.extend(opening.take().map(Item::Direction));
                items.extend(self.marks(repeated, bar).into_iter().map(Item::Direction));
            }
            self.staves(notated, bar, &mut items);
            items.extend(self.right_barline(place).map(Item::Barline));
            let number = if is_pickup { format!("X{}", place + 1) } else { number.to_string() };
            measures.push(ScoreMeasure { number, implicit: is_pickup, new_system, items });
        }
        measures
    }

    fn bar(&self, repeated: &RepeatedBar) -> (&NotatedBar, &TimelineBar) {
        let notated = &self.bars[repeated.index];
        (notated, &self.timeline.bars[notated.bar])
    }

    /// What is new at a bar: everything at the first, later key and meter where they change.
    fn attributes(
        &self,
        is_first: bool,
        bar: &TimelineBar,
        before: &mut Option<(Key, Meter)>,
    ) -> Option<Attributes> {
        let [key_changes, meter_changes] = match *before {
            Some((key, meter)) => [key != bar.key, meter != bar.meter],
            None => [true, true],
        };
        *before = Some((bar.key, bar.meter));
        let signature =
            KeySignature { fifths: bar.key.signature(), minor: bar.key.mode == Mode::Minor };
        let time =
            TimeSignature { beats: bar.meter.numerator(), beat_type: bar.meter.denominator() };
        let changed = Attributes {
            key: key_changes.then_some(signature),
            time: meter_changes.then_some(time),
            ..Attributes::default()
        };
        if !is_first {
            return (key_changes || meter_changes).then_some(changed);
        }
        let staves = self.part.staves.len();
        Some(Attributes {
            divisions: true,
            staves: u8::try_from(staves).ok().filter(|staves| *staves > 1),
            clefs: self.part.staves.iter().map(|(clef, _)| *clef).collect(),
            transpose: self.part.transpose,
            ..changed
        })
    }

    /// Rehearsal marks and words over a bar.
    fn marks(&self, repeated: &RepeatedBar, bar: &TimelineBar) -> Vec<Direction> {
        let direction = |mark| Direction { marks: vec![mark], sound: None };
        let mut marks = Vec::new();
        if let Some(section) = &bar.section {
            marks.push(direction(Mark::Rehearsal(section.clone())));
        }
        let before = self.bars[repeated.index].bar.checked_sub(1);
        let before = before.and_then(|before| self.timeline.bars.get(before));
        let kind = before.map(|bar| bar.kind);
        marks.extend(changes(before, bar));
        let words = match bar.kind {
            BarKind::Answer if kind != Some(BarKind::Answer) => Some("answer".to_owned()),
            BarKind::Announce => Some(format!("to {}", bar.key)),
            _ => None,
        };
        marks.extend(words.map(|words| direction(Mark::Words(words))));
        if bar.drums_alone && !before.is_some_and(|before| before.drums_alone) {
            marks.push(direction(Mark::Words("drums".to_owned())));
        }
        if let Some(hits) = &bar.hits {
            marks.push(direction(Mark::Words(hits.shown(bar.meter))));
        }
        if let Some(times) = repeated.repeat_end {
            let words = if self.timeline.loops {
                Some("round and round".to_owned())
            } else {
                (times > 2).then(|| format!("{times} times"))
            };
            marks.extend(words.map(|words| direction(Mark::Words(words))));
        }
        marks
    }

    fn left_barline(&self, repeated: &RepeatedBar) -> Option<Barline> {
        let passes = &repeated.ending;
        let ending = (!passes.is_empty())
            .then(|| Ending { passes: passes.clone(), kind: EndingKind::Start });
        let repeat = repeated.repeat_start.then_some(Repeat::Forward);
        let is_plain = ending.is_none() && repeat.is_none();
        (!is_plain).then(|| Barline { ending, repeat, ..Barline::default() })
    }

    fn right_barline(&self, place: usize) -> Option<Barline> {
        let repeated = self.order.get(place)?;
        let next = self.order.get(place + 1);
        let ending = repeated.ending_stop.clone();
        let ending = ending.map(|(passes, kind)| Ending { passes, kind });
        let section_ends = next.is_some_and(|next| self.bar(next).1.section.is_some());
        let is_pickup = !self.bar(repeated).1.kind.is_played();
        let barline = Barline {
            right: true,
            is_final: next.is_none(),
            is_double: section_ends && !is_pickup && next.is_some_and(|next| !next.repeat_start),
            ending,
            repeat: repeated.repeat_end.map(Repeat::Backward),
        };
        let is_plain = barline == Barline { right: true, ..Barline::default() };
        (!is_plain).then_some(barline)
    }

    /// The notes of all staves, chords over the first.
    fn staves(&self, notated: &NotatedBar, bar: &TimelineBar, items: &mut Vec<Item>) {
        let length = bar.meter.bar() - notated.from;
        let several = self.part.staves.len() > 1;
        let staves = notated.staves.iter().skip(self.first_staff).take(self.part.staves.len());
        for (index, staff) in (0_u8..).zip(staves) {
            let number = several.then_some(index + 1);
            if index > 0 {
                items.push(Item::Backup(length));
            }
            let from = items.len();
            let writer =
                StaffWriter { staff: number, first_voice: index * 4 + 1, bar, from: notated.from };
            writer.write(staff, items);
            if index == 0 && self.first_staff == 0 {
                with_harmonies(items, from, notated);
            }
        }
    }
}

/// Puts chord symbols before the notes with which, or within which, they begin.
fn with_harmonies(items: &mut Vec<Item>, from: usize, notated: &NotatedBar) {
    let notes = items.split_off(from);
    let mut harmonies = notated
        .harmonies
        .iter()
        .cloned()
        .map(|mut harmony| {
            harmony.at = harmony.at - notated.from;
            harmony
        })
        .peekable();
    let mut at = Ticks::ZERO;
    for item in notes {
        if let Item::Note(note) = &item
            && !note.in_chord
        {
            at += note.duration;
            while let Some(harmony) = harmonies.next_if(|harmony| harmony.at < at) {
                items.push(Item::Harmony(harmony));
            }
        }
        items.push(item);
    }
    items.extend(harmonies.map(Item::Harmony));
}

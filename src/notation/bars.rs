//! Voices are laid into the timeline's bars.

use super::chords::harmony;
use super::figures::{Figure, figures};
use super::grid::WrittenNote;
use super::voices::{Chord, voices};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::codec::musicxml::HarmonyElement;
use crate::problem::InternalError;
use crate::theory::ChordSymbol;
use crate::units::Ticks;

/// One bar as it is written, in all staves.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NotatedBar {
    /// Its index in the timeline.
    pub(super) bar: usize,
    /// Where it begins within the timeline's bar: not at its start in a pickup.
    pub(super) from: Ticks,
    /// What is over it: chords that begin here, from the start of the bar.
    pub(super) harmonies: Vec<HarmonyElement>,
    /// Staff by staff, from the top.
    pub(super) staves: Vec<NotatedStaff>,
}

impl NotatedBar {
    /// Whether two bars look the same, whatever their places.
    pub(super) fn looks_like(&self, other: &NotatedBar) -> bool {
        self.from == other.from && self.harmonies == other.harmonies && self.staves == other.staves
    }
}

/// One bar of one staff.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum NotatedStaff {
    /// Nothing: a rest for the whole bar.
    Silent,
    /// To be filled by the player: slashes.
    Slashes,
    /// One voice, or two; the second may be empty.
    Voices(Box<[Vec<Figure>; 2]>),
}

/// A staff: its notes, and whether bars without any are the player's own.
#[derive(Debug, Clone, Default)]
pub(super) struct StaffNotes {
    pub(super) notes: Vec<WrittenNote>,
    /// Slashes in bars to answer in, or in all bars, rather than rests.
    pub(super) slashes: Slashes,
}

/// Which bars a player is to fill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Slashes {
    #[default]
    Never,
    /// In bars to answer in.
    Answers,
    /// Everywhere.
    Always,
}

/// All bars that are written: those that the band plays, and a pickup before them.
pub(super) fn bars(
    timeline: &Timeline,
    staves: &[StaffNotes],
) -> Result<Vec<NotatedBar>, InternalError> {
    let first_note =
        staves.iter().filter_map(|staff| staff.notes.first()).map(|note| note.start).min();
    let form_start = timeline.form_start();
    let begin = first_note.map_or(form_start, |first| first.min(form_start));
    let voiced: Vec<[Vec<Vec<Chord>>; 2]> = staves
        .iter()
        .map(|staff| voices(&staff.notes).map(|voice| by_bar(timeline, &voice)))
        .collect();
    let mut notated: Vec<NotatedBar> = Vec::new();
    let mut sounding: Option<Option<&ChordSymbol>> = None;
    for (index, bar) in timeline.bars.iter().enumerate() {
        if bar.end() <= begin {
            continue;
        }
        let from = pickup_start(bar, begin);
        let staff = |(staff, voiced): (&StaffNotes, &[Vec<Vec<Chord>>; 2])| {
            notated_staff(staff, [&voiced[0][index], &voiced[1][index]], bar, from)
        };
        notated.push(NotatedBar {
            bar: index,
            from,
            harmonies: harmonies(bar, &mut sounding),
            staves: staves.iter().zip(&voiced).map(staff).collect::<Result<_, _>>()?,
        });
    }
    Ok(notated)
}

/// A pickup begins on the beat in which its first note lies.
fn pickup_start(bar: &TimelineBar, begin: Ticks) -> Ticks {
    let into = (begin - bar.start).0.max(0);
    let count = bar.meter.count().0;
    Ticks(if bar.kind.is_played() { 0 } else { into - into % count })
}

/// The chords that change in a bar; all of them where a section begins.
fn harmonies<'a>(
    bar: &'a TimelineBar,
    sounding: &mut Option<Option<&'a ChordSymbol>>,
) -> Vec<HarmonyElement> {
    let begins = bar.form_bar == 0 || bar.section.is_some() || bar.kind == BarKind::Ending;
    if begins {
        *sounding = None;
    }
    let mut harmonies = Vec::new();
    for slot in &bar.slots {
        let symbol = slot.harmony.as_ref().map(|harmony| &harmony.symbol);
        if *sounding != Some(symbol) {
            harmonies.push(harmony(symbol, slot.at - bar.start));
        }
        *sounding = Some(symbol);
    }
    harmonies
}

fn notated_staff(
    staff: &StaffNotes,
    voices: [&Vec<Chord>; 2],
    bar: &TimelineBar,
    from: Ticks,
) -> Result<NotatedStaff, InternalError> {
    let is_own = match staff.slashes {
        Slashes::Never => false,
        Slashes::Answers => bar.kind == BarKind::Answer,
        Slashes::Always => bar.kind.is_played(),
    };
    let figures = |voice: &[Chord]| figures(voice, from, bar.meter);
    let voices = match voices.map(Vec::is_empty) {
        [true, true] if is_own => return Ok(NotatedStaff::Slashes),
        [true, true] => return Ok(NotatedStaff::Silent),
        // A second voice alone is the first.
        [true, false] => [figures(voices[1])?, Vec::new()],
        [false, true] => [figures(voices[0])?, Vec::new()],
        [false, false] => [figures(voices[0])?, figures(voices[1])?],
    };
    Ok(NotatedStaff::Voices(Box::new(voices)))
}

/// A voice's chords by bar, tied where they go on into the next. Times count from the bar's start.
fn by_bar(timeline: &Timeline, voice: &[Chord]) -> Vec<Vec<Chord>> {
    let mut bars: Vec<Vec<Chord>> = vec![Vec::new(); timeline.bars.len()];
    for chord in voice {
        for index in timeline.bar_index(chord.start)..timeline.bars.len() {
            let bar = &timeline.bars[index];
            let (start, end) = (chord.start.max(bar.start), chord.end.min(bar.end()));
            if end <= start {
                break;
            }
            let mut notes = chord.notes.clone();
            for note in &mut notes {
                note.tied_from |= start > chord.start;
                // What rings past the last bar stops there.
                note.tied_to = (note.tied_to || end < chord.end) && end < timeline.end;
            }
            bars[index].push(Chord { start: start - bar.start, end: end - bar.start, notes });
        }
    }
    bars
}

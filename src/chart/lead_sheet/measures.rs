//! Bars of chords from measures.

use super::super::Slot;
use super::LeadSheetProblem;
use crate::codec::musicxml::{
    DegreeElement, DegreeKind, HarmonyElement, Measure, MelodyNote, UnreadHarmony,
};
use crate::theory::{Change, ChordSymbol, DegreeChange, KindError};
use crate::units::{Meter, Ticks};

/// The measures without the melody's pickup, whose signatures and tempo go to the first. A later one
/// that does not count as its own (the end of a bar that a repeat sign splits) belongs to the one
/// before.
pub(super) fn whole_measures(measures: &[Measure]) -> Vec<Measure> {
    let mut whole: Vec<Measure> = Vec::new();
    let pickup = measures.iter().take_while(|measure| !measure.counted);
    let counted = measures.iter().skip_while(|measure| !measure.counted);
    for measure in counted {
        match whole.last_mut().filter(|_| !measure.counted) {
            Some(before) => join(before, measure),
            None => whole.push(measure.clone()),
        }
    }
    if let Some(first) = whole.first_mut() {
        for before in pickup {
            first.key = first.key.or(before.key);
            first.time = first.time.or(before.time);
            first.tempo = first.tempo.or(before.tempo);
        }
    }
    whole
}

fn join(before: &mut Measure, measure: &Measure) {
    let moved = |harmony: &HarmonyElement| HarmonyElement {
        at: harmony.at + before.length,
        ..harmony.clone()
    };
    before.harmonies.extend(measure.harmonies.iter().map(moved));
    let moved =
        |unread: &UnreadHarmony| UnreadHarmony { at: unread.at + before.length, ..unread.clone() };
    before.unread.extend(measure.unread.iter().map(moved));
    let moved = |note: &MelodyNote| MelodyNote { at: note.at + before.length, ..*note };
    before.notes.extend(measure.notes.iter().map(moved));
    before.length += measure.length;
    before.repeat_end = before.repeat_end.or(measure.repeat_end);
    before.repeat_after_jump |= measure.repeat_after_jump;
    before.jumps.extend(measure.jumps.iter().cloned());
}

/// What sounds in a measure; `sounding` goes on until its first chord. With it go the chords that
/// are none, in whose places nothing sounds.
pub(super) fn slots(
    measure: &Measure,
    meter: Meter,
    sounding: Option<ChordSymbol>,
    warnings: &mut Vec<String>,
) -> (Vec<Slot>, Vec<LeadSheetProblem>) {
    let mut unknown = Vec::new();
    let mut chords: Vec<(Ticks, Option<ChordSymbol>)> = Vec::new();
    for harmony in &measure.harmonies {
        let chord = chord(harmony).unwrap_or_else(|error| {
            unknown.push(error.into());
            None
        });
        chords.push((harmony.at, chord));
    }
    for harmony in &measure.unread {
        unknown.push(LeadSheetProblem::UnreadChord(harmony.problem.clone()));
        chords.push((harmony.at, None));
    }
    chords.sort_by_key(|(at, _)| *at);
    let mut changes: Vec<(Ticks, Option<ChordSymbol>)> = vec![(Ticks::ZERO, sounding)];
    for (written, chord) in chords {
        let at = nearest_count(written, meter);
        if at != written {
            let shown = chord.as_ref().map_or("N.C.".to_owned(), ToString::to_string);
            let count = at.0 / meter.count().0 + 1;
            let number = &measure.number;
            warnings.push(format!("measure {number}: {shown} is moved to count {count}"));
        }
        changes.retain(|(earlier, _)| *earlier < at);
        changes.push((at, chord));
    }
    let ends = changes.iter().skip(1).map(|(at, _)| *at).chain([meter.bar()]);
    let slots = changes.iter().zip(ends).map(|((at, chord), end)| Slot {
        at: *at,
        length: end - *at,
        chord: chord.clone(),
    });
    (slots.collect(), unknown)
}

/// The nearest count inside the bar.
fn nearest_count(at: Ticks, meter: Meter) -> Ticks {
    let count = meter.count().0;
    let nearest = (at.0 + count / 2).div_euclid(count);
    Ticks(nearest.clamp(0, i64::from(meter.counts()) - 1) * count)
}

fn chord(harmony: &HarmonyElement) -> Result<Option<ChordSymbol>, KindError> {
    let change = |degree: &DegreeElement| DegreeChange {
        change: match degree.kind {
            DegreeKind::Add => Change::Add,
            DegreeKind::Alter => Change::Alter,
            DegreeKind::Subtract => Change::Subtract,
        },
        number: degree.value,
        alter: degree.alter,
    };
    let changes: Vec<DegreeChange> = harmony.degrees.iter().map(change).collect();
    let bass = harmony.bass;
    ChordSymbol::from_kind(harmony.root, &harmony.kind, &changes, bass)
}

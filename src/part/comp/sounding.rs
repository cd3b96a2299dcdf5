//! Hits meet chords: what each hit sounds, and until when.

use std::sync::Arc;

use super::hits::{BarHits, TimedHit};
use super::voicing::{Voicing, Voicings};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::style::Hit;
use crate::units::Ticks;

/// A hit with the notes that it may sound and the time at which it must be over.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sounding {
    pub(super) at: Ticks,
    pub(super) end: Ticks,
    pub(super) hit: Hit,
    pub(super) voicing: Arc<Voicing>,
}

/// A chord from its first slot to its last, for as long as it does not change.
#[derive(Debug)]
struct Chord {
    at: Ticks,
    end: Ticks,
    bar: usize,
    is_ending: bool,
    /// `None`: silence.
    voicing: Option<Arc<Voicing>>,
}

/// A hit that has found its chord.
#[derive(Debug)]
struct Placed {
    at: Ticks,
    hit: Hit,
    chord: usize,
}

/// What every hit sounds, in order of time.
///
/// A hit sounds the chord in force, an early one the coming chord if that begins on the next
/// count. Every chord is heard: one that no hit sounds is struck when it begins. No hit outlasts
/// its chord.
pub(super) fn soundings(
    timeline: &Timeline,
    voicings: &Voicings,
    bars: &[Option<BarHits>],
) -> Vec<Sounding> {
    let chords = chords(timeline, voicings);
    let mut placed: Vec<Placed> = Vec::new();
    for (bar, hits) in timeline.bars.iter().zip(bars) {
        for timed in hits.iter().flat_map(|hits| &hits.hits) {
            placed.extend(place(timed, bar, &chords, timeline.loops));
        }
    }
    strike_unheard(&mut placed, &chords, bars);
    placed.sort_by_key(|placed| (placed.at, placed.chord));
    let sound = |(index, hit): (usize, &Placed)| {
        let chord = chords.get(hit.chord)?;
        let end = end_of(hit, &placed[index + 1..], chord);
        let voicing = Arc::clone(chord.voicing.as_ref()?);
        Some(Sounding { at: hit.at, end, hit: hit.hit.clone(), voicing })
    };
    placed.iter().enumerate().filter_map(sound).collect()
}

/// Chords in a row; a chord that stays through several slots or bars is one, unless its voicing
/// changes.
fn chords(timeline: &Timeline, voicings: &Voicings) -> Vec<Chord> {
    let mut chords: Vec<Chord> = Vec::new();
    let mut harmony_before = None;
    for (index, bar) in timeline.bars.iter().enumerate() {
        let is_ending = bar.kind == BarKind::Ending;
        for (slot, within) in bar.slots.iter().enumerate() {
            let (at, end) = (within.at, within.at + within.length);
            let voicing = voicings.get(index, slot).cloned();
            let goes_on = chords.last().is_some_and(|last| {
                last.end == at && last.voicing == voicing && last.is_ending == is_ending
            });
            match chords.last_mut() {
                Some(last) if goes_on && harmony_before == within.harmony => last.end = end,
                _ => chords.push(Chord { at, end, bar: index, is_ending, voicing }),
            }
            harmony_before.clone_from(&within.harmony);
        }
    }
    chords
}

fn place(timed: &TimedHit, bar: &TimelineBar, chords: &[Chord], loops: bool) -> Option<Placed> {
    let TimedHit { at, hit } = timed;
    let now = chords.partition_point(|chord| chord.at <= *at).checked_sub(1)?;
    let in_silence = |chord: &Chord| chord.end <= *at || chord.voicing.is_none();
    if chords.get(now).is_none_or(in_silence) {
        return None;
    }
    let chord = if hit.early { coming(now, *at, bar, chords, loops) } else { None };
    Some(Placed { at: *at, hit: hit.clone(), chord: chord.unwrap_or(now) })
}

/// The chord that begins on the next count. The last chord of all is not played early: it has a
/// bar of its own. In a loop the first chord comes after the last.
fn coming(
    now: usize,
    at: Ticks,
    bar: &TimelineBar,
    chords: &[Chord],
    loops: bool,
) -> Option<usize> {
    let end = chords.get(now)?.end;
    let next = now + 1;
    if end - at > bar.meter.count() {
        return None;
    }
    match chords.get(next) {
        Some(chord) => {
            (chord.at == end && chord.voicing.is_some() && !chord.is_ending).then_some(next)
        }
        None => (loops && chords.first()?.voicing.is_some()).then_some(0),
    }
}

fn strike_unheard(placed: &mut Vec<Placed>, chords: &[Chord], bars: &[Option<BarHits>]) {
    let mut is_heard = vec![false; chords.len()];
    for hit in placed.iter().filter(|placed| !placed.hit.ghost) {
        if let Some(heard) = is_heard.get_mut(hit.chord) {
            *heard = true;
        }
    }
    for (index, chord) in chords.iter().enumerate() {
        let hits = bars.get(chord.bar).and_then(Option::as_ref);
        let otherwise = hits.and_then(|hits| hits.otherwise.as_ref());
        if let (false, Some(otherwise), Some(_)) = (is_heard[index], otherwise, &chord.voicing) {
            let hit = Hit { early: false, ghost: false, ..otherwise.clone() };
            placed.push(Placed { at: chord.at, hit, chord: index });
        }
    }
}

/// When a hit is over: after its length, or when the hand moves on; at the latest with its chord,
/// which ends where the next one is first struck.
fn end_of(hit: &Placed, later: &[Placed], chord: &Chord) -> Ticks {
    // A chord taken early at the end of a loop rings into the next round.
    let chord_end = if chord.end > hit.at { chord.end } else { hit.at + (chord.end - chord.at) };
    let changed = later.iter().find(|other| other.chord != hit.chord);
    let chord_end = changed.map_or(chord_end, |other| chord_end.min(other.at));
    let moves_on = || {
        let mut same_chord = later.iter().take_while(|other| other.chord == hit.chord);
        let next = same_chord.find(|other| takes_the_hand(&hit.hit, &other.hit, chord));
        next.map(|other| other.at)
    };
    let end = hit.hit.length.map(|length| hit.at + length).or_else(moves_on);
    end.map_or(chord_end, |end| end.min(chord_end))
}

/// Does the next hit need the fingers of this one: the same notes again, or notes of the same
/// hand that are struck apart from them?
fn takes_the_hand(hit: &Hit, next: &Hit, chord: &Chord) -> bool {
    let Some(voicing) = &chord.voicing else { return true };
    let held = || voicing.notes.iter().filter(|note| hit.play.includes(note.asked));
    let mut struck = voicing.notes.iter().filter(|note| next.play.includes(note.asked));
    struck.any(|note| {
        held().any(|other| {
            other.asked == note.asked || (other.hand == note.hand && other.group != note.group)
        })
    })
}

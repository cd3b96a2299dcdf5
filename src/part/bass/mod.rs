//! The bass player: a rhythm of the style for each bar, then the best line through all of it.
//!
//! [`spans`] lists the chords, [`steps`] says when to play and what each note has to do,
//! [`candidates`] which pitches it may have, [`cost`] what they cost, and [`search`] finds the
//! line. Ghost notes come last: they repeat what is there.

mod approach;
mod candidates;
mod changes;
mod contour;
mod cost;
mod search;
mod spans;
mod steps;
mod tones;

#[cfg(test)]
mod tests;

use crate::part::{Choice, Energy, Note, PartNotes, PlayContext, Stroke, cut_at_stops};
use crate::performance::{Instrument, Part};
use crate::style::{BassRegister, BassStyle};
use crate::theory::{Degree, Harmony};
use crate::units::{Ticks, Velocity};
use spans::{ChordSpan, chord_at, chord_spans};
use steps::{GhostPlace, Rhythm, Step, rhythm};

/// The bass player's notes over a timeline.
///
/// Silent while others count in and where the chart says N.C.; every new chord begins with its
/// root or the bass that its symbol names, or where the style leaves that open its third or fifth. The same style, seed and chords give the same notes,
/// whatever the tempo.
#[must_use]
pub fn play(context: PlayContext<'_>, style: &BassStyle) -> PartNotes {
    let timeline = context.timeline;
    let spans = chord_spans(timeline);
    let Rhythm { steps, ghosts } = rhythm(context, &spans, style);
    let chance = chance(context, &steps);
    let pitches = search::best_line(&steps, style.register, timeline.loops, |step, pitch| {
        let of_step: Option<&[u8; 128]> = chance.get(step);
        of_step.and_then(|costs| costs.get(usize::from(pitch))).copied().map_or(0, i64::from)
    });
    let mut notes: Vec<Note> = steps
        .iter()
        .zip(pitches)
        .map(|(step, pitch)| {
            let energy = context.plan.bar(step.bar).energy;
            note((step, pitch), chord_at(&spans, step.at), style, energy)
        })
        .collect();
    for ghost in ghosts {
        add_ghost(&mut notes, ghost);
    }
    cut_at_stops(timeline, &mut notes);
    PartNotes {
        part: Part::Bass,
        instrument: Instrument { bank: 0, program: style.program },
        straight: style.straight,
        notes,
    }
}

/// The random part of the costs: for each step, by MIDI number. Each bar draws from a stream of
/// its own, so that no other bar has a say in it.
fn chance(context: PlayContext<'_>, steps: &[Step]) -> Vec<[u8; 128]> {
    let mut costs = Vec::with_capacity(steps.len());
    for steps in steps.chunk_by(|step, next| step.bar == next.bar) {
        let bar = steps.first().and_then(|step| context.timeline.bars.get(step.bar));
        let Some(mut random) = bar.map(|bar| Choice::BassLine.stream(context.seed, bar)) else {
            continue;
        };
        #[expect(clippy::cast_possible_truncation, reason = "it is below a number of 8 bits")]
        let mut draw = |_| random.below(cost::CHANCE.into()) as u8;
        costs.extend(steps.iter().map(|_| std::array::from_fn(&mut draw)));
    }
    costs
}

fn note(
    (step, pitch): (&Step, u8),
    span: Option<&ChordSpan>,
    style: &BassStyle,
    energy: Energy,
) -> Note {
    let room = step.until - step.at;
    let usual = Ticks(room.0 * i64::from(style.legato_percent) / 100);
    Note {
        at: step.at,
        length: step.length.map_or(usual, |length| length.min(room)).max(Ticks(1)),
        pitch,
        velocity: energy.velocity(louder_above(step.velocity, pitch, style.register)),
        stroke: Stroke::Full,
        hand: None,
        degree: span.and_then(|span| degree(&span.harmony, pitch)),
        variant: 0,
    }
}

/// A line grows louder as it climbs: by a third of a step of velocity a semitone, six at the most
/// (from memory: bassists dig in higher up; as much as is felt without being noticed).
fn louder_above(velocity: Velocity, pitch: u8, register: BassRegister) -> Velocity {
    let above = i32::from(pitch) - i32::from(register.centre);
    Velocity::clamped(i32::from(velocity.get()) + (above * 35 / 100).clamp(-6, 6))
}

/// What a pitch is in a chord, if it is one of the degrees that may sound.
fn degree(harmony: &Harmony, pitch: u8) -> Option<Degree> {
    let mut degrees = harmony.sounding_degrees().into_iter();
    degrees.find(|degree| harmony.pitch_class(*degree) == pitch % 12)
}

/// A sixteenth, as it would be written; how long a muted string sounds is a matter of feel.
const GHOST_LENGTH: Ticks = Ticks(240);

/// Puts a muted repeat of the note that sounds into its place, and stops the note there.
fn add_ghost(notes: &mut Vec<Note>, ghost: GhostPlace) {
    let after = notes.partition_point(|note| note.at <= ghost.at);
    let Some(sounding) = after.checked_sub(1).and_then(|index| notes.get_mut(index)) else {
        return;
    };
    if sounding.at == ghost.at {
        return;
    }
    sounding.length = sounding.length.min(ghost.at - sounding.at);
    let muted = Note {
        at: ghost.at,
        length: GHOST_LENGTH,
        velocity: ghost.velocity,
        stroke: Stroke::Ghost,
        ..sounding.clone()
    };
    notes.insert(after, muted);
}

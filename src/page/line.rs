//! A line on the page: its notes by name, and what each is to its chord.

use std::collections::BTreeMap;

use serde::Serialize;

use super::score::index_of;
use crate::arrange::{Timeline, TimelineBar};
use crate::melody::{Role, Side};
use crate::part::Note;
use crate::part::line::Line;
use crate::plan::PlannedLine;
use crate::theory::{Harmony, Key, NoteName, Pitch};
use crate::units::Ticks;

/// A note of a line: ticks from the start of the bar, length in ticks, MIDI number, name with
/// octave, index into the roles (none where nothing can be said).
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct LineNote(i64, i64, u8, String, Option<usize>);

/// What a note is to its chord: in a sign that has room beside the note, and in words.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct RoleWords(String, String);

/// A line with all that `countoff explain` says of it.
pub(super) struct ExplainedLine<'a> {
    timeline: &'a Timeline,
    notes: Vec<Note>,
    line: &'a Line,
    /// The key of the chart that the line was written over.
    written_in: Key,
    form: Ticks,
    /// By time in the form and pitch, in the key as written.
    known: BTreeMap<(Ticks, i16), (NoteName, Option<Role>)>,
}

impl<'a> ExplainedLine<'a> {
    /// A line on a timeline, as a part plays it.
    pub(super) fn of(planned: &'a PlannedLine, timeline: &'a Timeline, notes: Vec<Note>) -> Self {
        let explained = planned.explained().into_iter();
        let known = explained.map(|known| {
            let role = known.roles.first().copied();
            ((known.note.at, i16::from(known.note.pitch)), (known.name, role))
        });
        ExplainedLine {
            timeline,
            notes,
            line: &planned.line,
            written_in: planned.line.key,
            form: planned.form.length(),
            known: known.collect(),
        }
    }

    /// The notes that begin in a bar, or after a time before it.
    pub(super) fn bar(
        &self,
        bar: &TimelineBar,
        from: Ticks,
        roles: &mut Vec<RoleWords>,
    ) -> Vec<LineNote> {
        let inside = self.notes.iter().filter(|note| note.at >= from && note.at < bar.end());
        inside.map(|note| self.note(note, bar, roles)).collect()
    }

    fn note(&self, note: &Note, bar: &TimelineBar, roles: &mut Vec<RoleWords>) -> LineNote {
        let (name, role) = self.known(note, bar).unwrap_or_else(|| {
            let harmony = self.timeline.harmony(note.at.max(bar.start)).map(AsRef::as_ref);
            alone(note.pitch, harmony, bar.key)
        });
        let name = Pitch::named(note.pitch, name)
            .map_or_else(|| name.to_string(), |pitch| pitch.to_string());
        let role = role.map(|role| index_of(roles, RoleWords(sign(role), role.to_string())));
        LineNote((note.at - bar.start).0, note.length.0, note.pitch, name, role)
    }

    /// What is known of a note that was written; none of one that only the playing has, such as a
    /// left hand's last chord.
    fn known(&self, note: &Note, bar: &TimelineBar) -> Option<(NoteName, Option<Role>)> {
        let at = note.at - bar.start + bar.in_form;
        let of_key = |key: Key, at: Ticks| {
            let written = i16::from(note.pitch) - self.line.semitones_to(key);
            let (name, role) = *self.known.get(&(at, written))?;
            let interval = self.written_in.interval_to(key);
            let moved = name.transpose(interval).simplified();
            Some((moved, role.map(|role| role.transposed(interval))))
        };
        // A pickup belongs to the chorus after it, which may be in another key.
        let next = || self.timeline.bars.iter().find(|next| next.start >= bar.end());
        of_key(bar.home, at)
            .or_else(|| of_key(next().map_or(bar.home, |next| next.home), at - self.form))
    }
}

/// A note of which only its chord is known: the chord's own spelling comes first, then the key's.
fn alone(pitch: u8, harmony: Option<&Harmony>, key: Key) -> (NoteName, Option<Role>) {
    let pitch_class = pitch % 12;
    let degree = harmony.and_then(|harmony| {
        let degrees = harmony.sounding_degrees();
        degrees.into_iter().find(|degree| harmony.pitch_class(*degree) == pitch_class)
    });
    match (harmony, degree) {
        (Some(harmony), Some(degree)) => (harmony.note(degree), Some(Role::ChordTone { degree })),
        _ => (key.spell(pitch_class), None),
    }
}

/// A role in a sign. The page's legend explains them.
fn sign(role: Role) -> String {
    let led = |side: Side| match side {
        Side::Below => '↑',
        Side::Above => '↓',
    };
    match role {
        Role::ChordTone { degree }
        | Role::Extension { degree }
        | Role::Cell { degree }
        | Role::NinthArpeggio { degree } => degree.to_string(),
        Role::ScaleStep { degree, .. } => format!("({degree})"),
        Role::Blue { degree } => format!("~{}", degree.number),
        Role::Neighbour { side, of }
        | Role::Enclosure { side, of }
        | Role::Approach { side, of, .. } => format!("{}{of}", led(side)),
        Role::SeventhChord { root, degree } => format!("{degree}/{root}"),
        Role::TriadTone { triad, .. } => format!("/{triad}"),
        Role::Stack { lowest } => format!("/{lowest}"),
        Role::Shape { position, .. } => {
            let circled = ['①', '②', '③', '④'].get(usize::from(position).wrapping_sub(1));
            circled.unwrap_or(&'○').to_string()
        }
        Role::Link | Role::Passing | Role::Outside { .. } => "–".to_owned(),
    }
}

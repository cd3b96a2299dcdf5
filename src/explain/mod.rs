//! Explains a line: what each note is to its chord. Written apart from composition, so that each
//! can be held against the other.
//!
//! `tones` says what a note is on its own, `ornaments` what it is to the chord tone that it leads
//! to, `patterns` which groups it belongs to. Together these are all its tenable roles. Where it
//! is known what the line shows, `order` puts first the role that this calls for.

mod order;
mod ornaments;
mod patterns;
mod tones;

#[cfg(test)]
mod tests;

use std::sync::Arc;

use crate::melody::{Form, Piece, Role, blue_note, chord_tones, degree_of, is_landing};
use crate::theory::{Degree, Harmony, NoteName};
use crate::units::Ticks;

/// A note to explain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sounding {
    /// From the start of the form.
    pub at: Ticks,
    /// How long it is written.
    pub length: Ticks,
    /// MIDI note number.
    pub pitch: u8,
}

/// A note with all its tenable roles.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// The note.
    pub note: Sounding,
    /// The chord that sounds with it; `None` in a silence.
    pub harmony: Option<Arc<Harmony>>,
    /// Its name, as the key or its chord spells it.
    pub name: NoteName,
    /// What it can be said to be, the likeliest first; none over a silence.
    pub roles: Vec<Role>,
    /// The first note, as an index, of the group that the technique shown there has it in; `None`
    /// for single notes and where no technique is known.
    pub group: Option<usize>,
}

/// Explains every note of a line over a form. `shown` is what the line is known to show; pieces of
/// time that it leaves out are taken as they are.
#[must_use]
pub fn explain(form: &Form, notes: &[Sounding], shown: &[Piece]) -> Vec<Explained> {
    let mut notes = notes.to_vec();
    notes.sort_by_key(|note| (note.at, note.pitch));
    let line = Line::new(form, &notes);
    (0..notes.len())
        .map(|index| {
            let harmony = line.harmony(index).cloned();
            let mut roles = Vec::new();
            if let Some(harmony) = &harmony {
                roles = natural_order(&line, index, harmony);
                if let Some(first) = order::first(&line, index, shown, &roles) {
                    roles.retain(|role| *role != first);
                    roles.insert(0, first);
                }
            }
            let by_target = roles.first().and_then(|role| ornaments::spelled(&line, index, *role));
            let name = by_target.unwrap_or_else(|| {
                spelled(form, harmony.as_deref(), notes[index].pitch, roles.first())
            });
            let group = order::group_at(&line, index, shown);
            Explained { note: notes[index], harmony, name, roles, group }
        })
        .collect()
}

/// All tenable roles. Three notes of an upper triad are that before all else. A chord tone is one; a chromatic note between two of them passes; what
/// encloses or approaches a chord tone does so; a half step beside one is a neighbour if it is
/// foreign to the chord's scale; a foreign blue note among notes of the blues is one; else a tension comes first, and a neighbour before a mere step of
/// the scale, unless the line goes through it by step. Groups come last.
fn natural_order(line: &Line, index: usize, harmony: &Harmony) -> Vec<Role> {
    let pitch = line.pitch(index);
    let steps = tones::scale_steps(line, index, harmony);
    let goes_through = !steps.is_empty() && ornaments::goes_through(line, index);
    let is_foreign = tones::is_foreign(harmony, pitch) && !goes_through;
    let blue = blue_note(line.form.key, pitch).map(|degree| Role::Blue { degree });
    let neighbour = ornaments::neighbour(line, index);
    let passing = ornaments::passing(line, index);
    let between_tones = passing.filter(|_| ornaments::is_between_chord_tones(line, index));
    let in_order =
        patterns::upper_triad(line, index, harmony)
            .into_iter()
            .chain(tones::chord_tone(harmony, pitch))
            .chain(between_tones)
            .chain(ornaments::double(line, index))
            .chain(neighbour.filter(|_| is_foreign))
            .chain(blue.filter(|_| {
                tones::is_foreign(harmony, pitch) && tones::in_blues(line, index, harmony)
            }))
            .chain(tones::extensions(harmony, pitch))
            .chain(steps.iter().copied().filter(|_| goes_through))
            .chain(neighbour)
            .chain(steps.iter().copied())
            .chain(blue)
            .chain(patterns::patterns(line, index, harmony))
            .chain(passing)
            .chain(ornaments::link(line, index));
    let mut roles: Vec<Role> = Vec::new();
    for role in in_order {
        if !roles.contains(&role) {
            roles.push(role);
        }
    }
    if roles.is_empty() {
        roles.push(tones::outside(harmony, pitch));
    }
    roles
}

/// The name of a note: as its chord spells it if it is one of the chord's own tones, whatever group
/// it is in; by its degree where the role says one; else as the key spells it.
fn spelled(form: &Form, harmony: Option<&Harmony>, pitch: u8, role: Option<&Role>) -> NoteName {
    let own =
        harmony.and_then(|h| Some(h.note(degree_of(h, &chord_tones(h), pitch)?).simplified()));
    let by_degree = || match (harmony, role?) {
        (
            Some(harmony),
            Role::Extension { degree } | Role::Cell { degree } | Role::NinthArpeggio { degree },
        ) => Some(harmony.note(*degree)),
        (_, Role::ScaleStep { root, degree, .. } | Role::SeventhChord { root, degree }) => {
            Some(root.transpose(degree.interval()))
        }
        (_, Role::Blue { degree }) => Some(form.key.tonic.transpose(degree.interval())),
        (_, Role::TriadTone { triad, .. }) => triad.note(pitch),
        _ => None,
    };
    let name = own.or_else(|| by_degree().map(NoteName::simplified));
    name.filter(|name| name.pitch_class() == pitch % 12)
        .unwrap_or_else(|| form.key.spell(pitch % 12))
}

/// The notes of a line, each with its chord.
struct Line<'a> {
    form: &'a Form,
    notes: &'a [Sounding],
    spans: Vec<usize>,
}

impl<'a> Line<'a> {
    fn new(form: &'a Form, notes: &'a [Sounding]) -> Line<'a> {
        let spans =
            notes.iter().map(|note| form.span_at(form.heard_at(note.at, note.length))).collect();
        Line { form, notes, spans }
    }

    fn pitch(&self, index: usize) -> u8 {
        self.notes[index].pitch
    }

    fn harmony(&self, index: usize) -> Option<&'a Arc<Harmony>> {
        self.form.spans.get(*self.spans.get(index)?)?.harmony.as_ref()
    }

    /// Whether the line lands on a note, so that it belongs to no group.
    fn is_landing(&self, index: usize) -> bool {
        let note = self.notes[index];
        is_landing(note.at, note.length, self.notes.get(index + 1).map(|next| next.at))
    }

    /// The pitch of a note counted from another one; `None` outside the line.
    fn pitch_at(&self, index: usize, offset: isize) -> Option<u8> {
        Some(self.notes.get(index.checked_add_signed(offset)?)?.pitch)
    }

    /// What a note is in its chord, if it is one of the chord's own tones.
    fn chord_degree(&self, index: usize) -> Option<Degree> {
        let harmony = self.harmony(index)?;
        degree_of(harmony, &chord_tones(harmony), self.pitch(index))
    }

    /// Whether a note follows the one before it without a rest that ends a phrase. An eighth rest
    /// does not: it may be a quarter note that is cut short.
    fn is_joined(&self, index: usize) -> bool {
        let before = index.checked_sub(1).and_then(|before| self.notes.get(before));
        before
            .zip(self.notes.get(index))
            .is_some_and(|(before, note)| note.at - (before.at + before.length) <= Ticks::EIGHTH)
    }

    /// The windows of so many notes that hold a note and have no rest in them, as first indices.
    fn windows(&self, index: usize, size: usize) -> impl Iterator<Item = usize> + '_ {
        let first = (index + 1).saturating_sub(size);
        (first..=index).filter(move |&first| {
            first + size <= self.notes.len()
                && (first + 1..first + size).all(|index| self.is_joined(index))
        })
    }

    /// The pitches of a window.
    fn pitches(&self, first: usize, size: usize) -> Vec<u8> {
        self.notes[first..first + size].iter().map(|note| note.pitch).collect()
    }
}

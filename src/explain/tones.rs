//! What a note is on its own: to its chord, and to the scales that go with the chord.

use crate::melody::{PitchSet, Role, chord_tone_set, chord_tones, degree_of, key_scale};
use crate::theory::{Degree, Harmony, Key, NoteName, Scale, chord_scale, line_scale};

use super::Line;

/// One of the chord's own tones.
pub(super) fn chord_tone(harmony: &Harmony, pitch: u8) -> Option<Role> {
    degree_of(harmony, &chord_tones(harmony), pitch).map(|degree| Role::ChordTone { degree })
}

/// What the chord's function adds to it.
pub(super) fn extensions(harmony: &Harmony, pitch: u8) -> Vec<Role> {
    let own = chord_tones(harmony);
    let added: Vec<Degree> = harmony
        .sounding_degrees()
        .into_iter()
        .filter(|degree| !own.iter().any(|tone| tone.pitch_class() == degree.pitch_class()))
        .filter(|degree| harmony.pitch_class(*degree) == pitch % 12)
        .collect();
    added.into_iter().map(|degree| Role::Extension { degree }).collect()
}

/// Whether the chord's scale lacks the note.
pub(super) fn is_foreign(harmony: &Harmony, pitch: u8) -> bool {
    step(harmony.symbol.root, chord_scale(harmony), pitch).is_none()
}

/// Its degree above the root, for what nothing else can be said of: b2, b3, b5, b6, b7 and the
/// natural ones.
pub(super) fn outside(harmony: &Harmony, pitch: u8) -> Role {
    let above = (pitch % 12 + 12 - harmony.symbol.root.pitch_class()) % 12;
    let degree = Scale::CHROMATIC.degree_at(above).unwrap_or(Degree::ROOT);
    Role::Outside { degree }
}

/// Steps of the chord's scale, of the scale of its function, of the key's scale where the chord is in
/// the key, of the key's blues scales, and of a pentatonic that all notes over this chord in this
/// bar belong to.
pub(super) fn scale_steps(line: &Line, index: usize, harmony: &Harmony) -> Vec<Role> {
    let root = harmony.symbol.root;
    let pitch = line.pitch(index);
    let of_chord = [chord_scale(harmony), line_scale(harmony)];
    let mut steps: Vec<Role> =
        of_chord.into_iter().filter_map(|scale| step(root, scale, pitch)).collect();
    let key = line.form.key;
    steps.extend(key_scale(key, harmony).and_then(|scale| step(key.tonic, scale, pitch)));
    let around = around(line, index);
    let fits = |root: NoteName, scale: Scale| {
        let set: PitchSet = scale.pitch_classes(root).into_iter().collect();
        set.includes(around)
    };
    // In the blues a chord's own tones are at home too.
    for scale in [Scale::BLUES, Scale::MAJOR_BLUES] {
        if is_of_blues(scale, key, harmony, around) {
            steps.extend(step(key.tonic, scale, pitch));
        }
    }
    let pentatonic = if harmony.symbol.quality().is_minor() {
        Scale::MINOR_PENTATONIC
    } else {
        Scale::MAJOR_PENTATONIC
    };
    for scale in of_chord {
        let inside: PitchSet = scale.pitch_classes(root).into_iter().collect();
        for root in scale.notes(root).into_iter().map(NoteName::simplified) {
            let set: PitchSet = pentatonic.pitch_classes(root).into_iter().collect();
            if inside.includes(set) && fits(root, pentatonic) {
                steps.extend(step(root, pentatonic, pitch));
            }
        }
    }
    steps
}

/// Whether all notes around belong to the key's blues scale or to the chord.
pub(super) fn in_blues(line: &Line, index: usize, harmony: &Harmony) -> bool {
    is_of_blues(Scale::BLUES, line.form.key, harmony, around(line, index))
}

fn is_of_blues(scale: Scale, key: Key, harmony: &Harmony, notes: PitchSet) -> bool {
    let blues: PitchSet = scale.pitch_classes(key.tonic).into_iter().collect();
    blues.or(chord_tone_set(harmony)).includes(notes)
}

/// A step of a scale, if the pitch is one.
pub(super) fn step(root: NoteName, scale: Scale, pitch: u8) -> Option<Role> {
    let above = (pitch % 12 + 12 - root.pitch_class()) % 12;
    let degree = scale.degree_at(above)?;
    Some(Role::ScaleStep { root, scale, degree })
}

/// The notes over the same chord in the same bar, without those that the line lands on.
fn around(line: &Line, index: usize) -> PitchSet {
    let bar = line.form.bar_number(line.notes[index].at);
    let moving = |&other: &usize| {
        let note = line.notes[other];
        line.spans[other] == line.spans[index]
            && line.form.bar_number(note.at) == bar
            && !line.is_landing(other)
    };
    (0..line.notes.len()).filter(moving).map(|other| line.pitch(other)).collect()
}

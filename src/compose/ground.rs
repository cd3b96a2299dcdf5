//! The tones that each piece offers.

use std::sync::Arc;

use crate::melody::{Form, PitchSet, Technique, chord_tones, outline_tones, rubbing_eleventh};
use crate::theory::{Degree, Harmony, Key, NoteName, Quality, Scale};

use super::pieces::Plan;

/// The tones of a piece.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    pub(super) harmony: Arc<Harmony>,
    pub(super) key: Key,
    /// The chord's own tones.
    pub(super) tones: Vec<Degree>,
    pub(super) tone_set: PitchSet,
    /// The chord's tones, and its seventh and ninth.
    pub(super) outline: Vec<Degree>,
    pub(super) outline_set: PitchSet,
    /// The eleventh that rubs against a major third: not for strong beats.
    pub(super) rubbing: PitchSet,
    /// Where long notes and strong beats land: the chord tones that the technique's scale has; in
    /// the blues also the chord's third.
    pub(super) landing: PitchSet,
    /// The technique's scale.
    pub(super) root: NoteName,
    pub(super) scale: Scale,
    pub(super) scale_set: PitchSet,
    /// Too short for anything but chord tones.
    pub(super) short: bool,
}

impl Ground {
    /// The step of the scale above a pitch, where it is no more than a whole step.
    pub(super) fn step_above(&self, pitch: u8) -> Option<u8> {
        self.scale_set.above(pitch).filter(|step| step - pitch <= 2)
    }

    /// Chord tones on the beats of an eight-note run: a sixth counts as one on major chords.
    pub(super) fn on_beats(&self) -> PitchSet {
        let sixth = self.harmony.pitch_class(Degree::natural(6));
        let major = self.harmony.symbol.quality() == Quality::Major;
        if major { self.landing.or(PitchSet::from_iter([sixth])) } else { self.landing }
    }
}

/// The ground of every piece; `None` where it is silent.
pub(super) fn ground(form: &Form, plan: &Plan) -> Vec<Option<Ground>> {
    let pieces = plan.pieces.iter().zip(&plan.short);
    pieces
        .map(|(piece, &short)| {
            let harmony = piece.span.harmony.clone()?;
            let (root, scale) = piece.assignment.material.scale()?;
            let set = |degrees: &[Degree]| -> PitchSet {
                degrees.iter().map(|&degree| harmony.pitch_class(degree)).collect()
            };
            let tones = chord_tones(&harmony);
            let outline = outline_tones(&harmony);
            let scale_set = piece.assignment.material.scale_set();
            let tone_set = set(&tones);
            let third = harmony.symbol.third().map(|third| harmony.pitch_class(third));
            let third = third.filter(|_| piece.assignment.technique == Technique::Blues);
            let common = tone_set.and(scale_set).or(third.into_iter().collect());
            Some(Ground {
                tone_set,
                outline_set: set(&outline),
                rubbing: rubbing_eleventh(&harmony).into_iter().collect(),
                landing: if common.is_empty() { tone_set } else { common },
                key: form.key,
                harmony,
                tones,
                outline,
                root,
                scale,
                scale_set,
                short,
            })
        })
        .collect()
}

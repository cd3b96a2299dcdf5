//! What a chord gives to a line.

use super::{PitchSet, Technique};
use crate::theory::{Degree, Harmony, Key, Mode, NoteName, Scale, chord_scale, line_scale};

/// A chord's own tones: root, third (or what a suspension puts in its place), fifths, and the
/// seventh or sixth where the symbol writes one.
#[must_use]
pub fn chord_tones(harmony: &Harmony) -> Vec<Degree> {
    let symbol = &harmony.symbol;
    let fifths = symbol.degrees.iter().copied().filter(|degree| degree.number == 5);
    let third = symbol.third();
    let seventh = symbol.seventh_or_sixth();
    let mut tones: Vec<Degree> =
        [Degree::ROOT].into_iter().chain(third).chain(fifths).chain(seventh).collect();
    tones.sort_unstable();
    tones.dedup();
    tones
}

/// The tones of a chord's outline: its own, and the seventh (or sixth) and ninth that its function
/// gives it.
#[must_use]
pub fn outline_tones(harmony: &Harmony) -> Vec<Degree> {
    let mut tones = chord_tones(harmony);
    for added in [harmony.seventh, harmony.ninth].into_iter().flatten() {
        if !tones.iter().any(|tone| tone.pitch_class() == added.pitch_class()) {
            tones.push(added);
        }
    }
    tones.sort_unstable();
    tones
}

/// The first of some degrees that a pitch is.
#[must_use]
pub fn degree_of(harmony: &Harmony, degrees: &[Degree], pitch: u8) -> Option<Degree> {
    degrees.iter().copied().find(|&degree| harmony.pitch_class(degree) == pitch % 12)
}

/// The scale that a technique draws on over a chord: for the modern ones the scale by function
/// where it is the altered one or minor's with a raised seventh, else the chord's own.
#[must_use]
pub fn technique_scale(technique: Technique, harmony: &Harmony) -> Scale {
    let by_function = line_scale(harmony);
    let takes = match technique {
        Technique::ChordScales => true,
        Technique::TriadPairs => matches!(by_function, Scale::ALTERED | Scale::BEBOP_MINOR),
        Technique::FourthStacks | Technique::ShiftedShapes => by_function == Scale::ALTERED,
        _ => false,
    };
    let scale = if takes { by_function } else { chord_scale(harmony) };
    match technique {
        Technique::TriadPairs | Technique::FourthStacks => with_raised_fourth(scale, harmony),
        _ => scale,
    }
}

/// The pitch classes of [`chord_tones`].
#[must_use]
pub fn chord_tone_set(harmony: &Harmony) -> PitchSet {
    chord_tones(harmony).into_iter().map(|tone| harmony.pitch_class(tone)).collect()
}

/// The pitch class of the eleventh that rubs against a chord's major third, where the symbol does not
/// write it.
#[must_use]
pub fn rubbing_eleventh(harmony: &Harmony) -> Option<u8> {
    let third = Degree::natural(3);
    let eleventh = Degree::natural(11);
    let rubs = harmony.symbol.third() == Some(third)
        && !harmony.symbol.has(eleventh)
        && !harmony.symbol.has(Degree::natural(4));
    rubs.then(|| harmony.pitch_class(eleventh))
}

/// Lydian for major and lydian dominant for mixolydian: what triads and fourths are built from over
/// chords with a major third (common practice), since groups put every note of the scale on a
/// strong beat sooner or later.
fn with_raised_fourth(scale: Scale, harmony: &Harmony) -> Scale {
    match scale {
        _ if rubbing_eleventh(harmony).is_none() => scale,
        Scale::IONIAN => Scale::LYDIAN,
        Scale::MIXOLYDIAN => Scale::LYDIAN_DOMINANT,
        _ => scale,
    }
}

/// The blue notes of a key: its flat fifth, and in major its flat third and seventh. Counted from
/// the tonic.
#[must_use]
pub fn blue_note(key: Key, pitch: u8) -> Option<Degree> {
    match ((pitch % 12 + 12 - key.tonic.pitch_class()) % 12, key.mode) {
        (3, Mode::Major) => Some(Degree::new(3, -1)),
        (6, _) => Some(Degree::new(5, -1)),
        (10, Mode::Major) => Some(Degree::new(7, -1)),
        _ => None,
    }
}

/// The scale of the key that holds a chord: major; in minor the natural, harmonic or melodic one,
/// the first that does. `None` for a chord outside the key.
#[must_use]
pub fn key_scale(key: Key, harmony: &Harmony) -> Option<Scale> {
    let tones: PitchSet =
        chord_tones(harmony).into_iter().map(|tone| harmony.pitch_class(tone)).collect();
    let scales: &[Scale] = match key.mode {
        Mode::Major => &[Scale::IONIAN],
        Mode::Minor => &[Scale::AEOLIAN, Scale::HARMONIC_MINOR, Scale::MELODIC_MINOR],
    };
    scales.iter().copied().find(|scale| set_of(*scale, key.tonic).includes(tones))
}

fn set_of(scale: Scale, root: NoteName) -> PitchSet {
    scale.pitch_classes(root).into_iter().collect()
}

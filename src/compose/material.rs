//! Chooses what a technique takes from a chord.

use crate::melody::{
    FallbackReason, Material, PitchSet, Technique, Triad, TriadKind, chord_tone_set, key_scale,
    rubbing_eleventh, technique_scale,
};
use crate::random::Stream;
use crate::theory::{Degree, Harmony, Key, Mode, NoteName, Scale, line_scale};
use crate::units::Ticks;

use super::streams::Choice;

/// Shapes of four notes, by the intervals between them (common practice: 1 3 5 2, 1 5 4 2, 5 6 1,
/// and the like). None ends more than a whole step from where it begins, so that a line can step
/// into any number of chords without leaving its range.
const SHAPES: [[i8; 3]; 10] = [
    [4, 3, -5],
    [3, 4, -5],
    [7, -2, -3],
    [-5, 2, 3],
    [2, 2, -4],
    [3, 2, -5],
    [5, 2, -7],
    [-3, -2, 7],
    [-2, 5, -2],
    [5, -2, -4],
];

/// How far shapes are shifted, in semitones: half and whole steps, minor and major thirds.
const SHIFTS: [u8; 4] = [1, 2, 3, 4];

/// What a technique takes from a chord at a time of the form.
///
/// # Errors
/// The chord is outside the key, or has nothing for the technique.
pub(super) fn material(
    technique: Technique,
    harmony: &Harmony,
    key: Key,
    seed: u64,
    at: Ticks,
) -> Result<Material, FallbackReason> {
    let root = harmony.symbol.root;
    let mut stream = Choice::Material { technique, at }.stream(seed);
    // What is one for the whole line must not depend on the place in it.
    let mut of_line = Choice::MaterialOfLine { technique }.stream(seed);
    let scale = technique_scale(technique, harmony);
    match technique {
        Technique::KeySevenths => {
            let scale = key_scale(key, harmony).ok_or(FallbackReason::OutsideTheKey)?;
            Ok(Material::Scale { root: key.tonic, scale })
        }
        Technique::Pentatonics => pentatonic(harmony, &mut stream),
        Technique::Blues => Ok(blues(key, harmony, &mut of_line)),
        Technique::TriadPairs => triads(harmony, scale, &mut stream),
        Technique::ShiftedShapes => {
            let intervals = SHAPES[of_line.below(SHAPES.len())];
            let shift = SHIFTS[of_line.below(SHIFTS.len())];
            Ok(Material::Shape { intervals, shift, root, scale })
        }
        Technique::RootCells if !has_cell(harmony) => Err(FallbackReason::NothingToTake),
        Technique::NinthArpeggios if !has_ninth_arpeggio(harmony) => {
            Err(FallbackReason::NothingToTake)
        }
        _ => Ok(Material::Scale { root, scale }),
    }
}

fn has_cell(harmony: &Harmony) -> bool {
    harmony.symbol.third().is_some_and(|third| third.number != 2)
        && harmony.symbol.fifth().is_some()
}

fn has_ninth_arpeggio(harmony: &Harmony) -> bool {
    let degrees = [harmony.symbol.third(), harmony.symbol.fifth(), harmony.seventh, harmony.ninth];
    // Under a suspended second the ninth stands in the third's place already.
    degrees.iter().all(Option::is_some) && harmony.degree(3) != Some(Degree::natural(2))
}

/// The minor blues scale in minor keys; in major keys that or the major one, but the major one never
/// over the fourth step and over chords that hold the key's flat third: its natural third belongs
/// to the tonic.
fn blues(key: Key, harmony: &Harmony, stream: &mut Stream) -> Material {
    let minor_line = key.mode == Mode::Minor || stream.chance(0.5);
    let tonic = key.tonic.pitch_class();
    let above = |semitones: u8| (tonic + semitones) % 12;
    let on_fourth = harmony.symbol.root.pitch_class() == above(5);
    let flat_third = chord_tone_set(harmony).contains(above(3));
    let scale =
        if minor_line || on_fourth || flat_third { Scale::BLUES } else { Scale::MAJOR_BLUES };
    Material::Scale { root: key.tonic, scale }
}

/// A pentatonic scale inside the chord's scale that has two of the chord's tones or more; where
/// there is none, inside the scale by function; where there is none either, one with one tone (on
/// the flat fifth of an altered dominant). Those with more are likelier. One with the eleventh that
/// rubs against the chord's third is taken where there is no other. Its name follows the chord's
/// third.
fn pentatonic(harmony: &Harmony, stream: &mut Stream) -> Result<Material, FallbackReason> {
    let tones = chord_tone_set(harmony);
    let pentatonic = if harmony.symbol.quality().is_minor() {
        Scale::MINOR_PENTATONIC
    } else {
        Scale::MAJOR_PENTATONIC
    };
    let of_chord = technique_scale(Technique::Pentatonics, harmony);
    let by_function = line_scale(harmony);
    let eleventh = rubbing_eleventh(harmony);
    let scales = [(of_chord, 2), (by_function, 2), (of_chord, 1), (by_function, 1)];
    let clean_first = [false, true].into_iter().flat_map(|rubs| scales.map(|s| (s.0, s.1, rubs)));
    for (scale, least, may_rub) in clean_first {
        let scale_set: PitchSet = scale.pitch_classes(harmony.symbol.root).into_iter().collect();
        let roots = scale.notes(harmony.symbol.root);
        let weights: Vec<f64> = roots
            .iter()
            .map(|&root| {
                let set: PitchSet = pentatonic.pitch_classes(root).into_iter().collect();
                let common = tones.and(set).count();
                let rubs = eleventh.is_some_and(|eleventh| set.contains(eleventh));
                if scale_set.includes(set) && common >= least && (may_rub || !rubs) {
                    f64::from(common * common * common)
                } else {
                    0.0
                }
            })
            .collect();
        if let Some(&root) = stream.weighted(&weights).and_then(|index| roots.get(index)) {
            return Ok(Material::Scale { root: root.simplified(), scale: pentatonic });
        }
    }
    Err(FallbackReason::NothingToTake)
}

/// Two triads of the scale without a common note; two major ones a step apart are likeliest.
fn triads(
    harmony: &Harmony,
    scale: Scale,
    stream: &mut Stream,
) -> Result<Material, FallbackReason> {
    let root = harmony.symbol.root;
    let all = triads_of(scale, harmony);
    let mut pairs: Vec<[Triad; 2]> = Vec::new();
    let mut weights = Vec::new();
    for (index, &first) in all.iter().enumerate() {
        for &second in
            all[index + 1..].iter().filter(|other| other.set().and(first.set()).is_empty())
        {
            pairs.push([first, second]);
            weights.push(liking(first, second));
        }
    }
    let chosen = stream.weighted(&weights).and_then(|index| pairs.get(index));
    let pair = *chosen.ok_or(FallbackReason::NothingToTake)?;
    Ok(Material::Triads { pair, root, scale })
}

fn liking(first: Triad, second: Triad) -> f64 {
    let of_kind = |triad: Triad| match triad.kind {
        TriadKind::Major => 10.0,
        TriadKind::Minor => 3.0,
        TriadKind::Augmented => 0.5,
        TriadKind::Diminished => 0.2,
    };
    let apart = (second.root.pitch_class() + 12 - first.root.pitch_class()) % 12;
    let neighbours = if matches!(apart, 1 | 2 | 10 | 11) { 2.0 } else { 1.0 };
    of_kind(first) * of_kind(second) * neighbours
}

/// The triads that a scale holds, by root, spelled as the scale spells them.
pub(super) fn triads_of(scale: Scale, harmony: &Harmony) -> Vec<Triad> {
    let root = harmony.symbol.root;
    let set: PitchSet = scale.pitch_classes(root).into_iter().collect();
    let roots = scale.notes(root).into_iter().map(NoteName::simplified);
    roots
        .flat_map(|root| TriadKind::ALL.map(|kind| Triad { root, kind }))
        .filter(|triad| set.includes(triad.set()))
        .collect()
}

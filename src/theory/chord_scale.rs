//! Which scale goes with a chord in its place. The choices are common practice.

use super::{Degree, Function, Harmony, Key, Mode, Quality, Scale};

/// The scale of a chord: the first of those which its family and function call for that holds all
/// that the accompaniment may play, written or open. A plain fifth gives way where no scale has it
/// beside the alterations (`7#9b13` takes the altered scale).
#[must_use]
pub fn chord_scale(harmony: &Harmony) -> Scale {
    let mut required = harmony.symbol.degrees.clone();
    required.extend(harmony.ninth.into_iter().chain(harmony.thirteenth));
    required.extend(harmony.seventh);
    if !harmony.function.is_dominant() || is_lydian(harmony) {
        required.extend(harmony.eleventh);
    }
    if harmony.symbol.is_suspended() {
        required.retain(|degree| degree.number != 3);
    }
    first_that_holds(&required, &candidates(harmony))
}

/// The scale of a line of eighth notes: eight-note scales where chords rest or prepare, so that
/// chord tones fall on the beats; the altered scale on a dominant that resolves; elsewhere, and
/// where what is written contradicts it, the chord's scale.
#[must_use]
pub fn line_scale(harmony: &Harmony) -> Scale {
    let symbol = &harmony.symbol;
    let eight_notes = match (symbol.quality(), harmony.function) {
        (Quality::Minor, Function::Predominant) => Scale::BEBOP_MINOR,
        (Quality::Major, Function::Tonic) => Scale::BEBOP_MAJOR,
        (Quality::Minor | Quality::MinorMajor, Function::Tonic) => Scale::BEBOP_MELODIC_MINOR,
        // A raised eleventh that is written stands beside a natural fifth: lydian dominant.
        (Quality::Dominant, Function::DominantToMajor | Function::DominantToMinor)
            if !symbol.has(Degree::new(11, 1)) =>
        {
            Scale::ALTERED
        }
        _ => return chord_scale(harmony),
    };
    let plain_fifth = Degree::natural(5);
    let fits =
        symbol.degrees.iter().all(|&degree| degree == plain_fifth || eight_notes.contains(degree));
    if fits { eight_notes } else { chord_scale(harmony) }
}

fn first_that_holds(required: &[Degree], candidates: &[Scale]) -> Scale {
    let plain_fifth = Degree::natural(5);
    let holds = |scale: &Scale, degree: &Degree| scale.contains(*degree);
    let all = candidates.iter().find(|scale| required.iter().all(|degree| holds(scale, degree)));
    let all_but_fifth = || {
        candidates.iter().find(|scale| {
            required.iter().all(|degree| *degree == plain_fifth || holds(scale, degree))
        })
    };
    // Where nothing fits, the scale that misses least, the first of those.
    let nearest = || {
        candidates
            .iter()
            .min_by_key(|scale| required.iter().filter(|degree| !holds(scale, degree)).count())
    };
    all.or_else(all_but_fifth).or_else(nearest).copied().unwrap_or(Scale::CHROMATIC)
}

/// The scales that a chord's family and function call for, the likeliest first.
fn candidates(harmony: &Harmony) -> Vec<Scale> {
    let symbol = &harmony.symbol;
    match symbol.quality() {
        Quality::Major => {
            vec![Scale::IONIAN, Scale::LYDIAN, Scale::HARMONIC_MAJOR, Scale::LYDIAN_AUGMENTED]
        }
        Quality::Augmented if symbol.degree(7).is_some() => {
            vec![Scale::LYDIAN_AUGMENTED, Scale::AUGMENTED_HEXATONIC]
        }
        Quality::Augmented => vec![Scale::WHOLE_TONE, Scale::LYDIAN_AUGMENTED],
        Quality::Minor => minor(harmony),
        Quality::MinorMajor => vec![Scale::MELODIC_MINOR, Scale::HARMONIC_MINOR],
        Quality::HalfDiminished => vec![Scale::LOCRIAN, Scale::LOCRIAN_NAT_2],
        Quality::Diminished => vec![Scale::DIMINISHED_WHOLE_HALF, Scale::LOCRIAN_NAT_2],
        Quality::Dominant => dominant(harmony),
        Quality::SuspendedDominant | Quality::Suspended => {
            vec![Scale::MIXOLYDIAN, Scale::DORIAN_B2, Scale::PHRYGIAN, Scale::MIXOLYDIAN_B6]
        }
        Quality::Power => vec![of_the_key(harmony)],
    }
}

fn dominant(harmony: &Harmony) -> Vec<Scale> {
    let symbol = &harmony.symbol;
    let raised_fifth_only = symbol.has(Degree::new(5, 1)) && symbol.fifth() == symbol.degree(5);
    let mut scales = Vec::new();
    if is_lydian(harmony) {
        scales.push(Scale::LYDIAN_DOMINANT);
    }
    if raised_fifth_only {
        scales.push(Scale::WHOLE_TONE);
    }
    scales.extend([
        Scale::MIXOLYDIAN,
        Scale::LYDIAN_DOMINANT,
        Scale::MIXOLYDIAN_B6,
        Scale::PHRYGIAN_DOMINANT,
        Scale::DIMINISHED_HALF_WHOLE,
        Scale::ALTERED,
        Scale::WHOLE_TONE,
    ]);
    scales
}

/// A dominant that stays takes the raised fourth where the key has it (the IV7 of a blues) or the
/// root is foreign to the key (bVII7); a tritone substitute always.
fn is_lydian(harmony: &Harmony) -> bool {
    let raised = harmony.pitch_class(Degree::new(11, 1));
    let root = harmony.symbol.root.pitch_class();
    match harmony.function {
        Function::TritoneSubstitute => true,
        Function::StaticDominant => harmony.key.contains(raised) || !harmony.key.contains(root),
        _ => false,
    }
}

fn minor(harmony: &Harmony) -> Vec<Scale> {
    let sixth = Degree::natural(6);
    if harmony.seventh == Some(sixth) {
        return vec![Scale::MELODIC_MINOR, Scale::DORIAN];
    }
    let Harmony { symbol, key, function, .. } = harmony;
    let flat_sixth_is_the_keys = key.contains(harmony.pitch_class(Degree::new(6, -1)))
        && !key.contains(harmony.pitch_class(sixth));
    let at_home = key.tonic.pitch_class() == symbol.root.pitch_class();
    let first = if flat_sixth_is_the_keys && *function != Function::Predominant && !at_home {
        [Scale::AEOLIAN, Scale::DORIAN]
    } else {
        [Scale::DORIAN, Scale::AEOLIAN]
    };
    [first[0], first[1], Scale::PHRYGIAN, Scale::DORIAN_B2].to_vec()
}

/// A chord without a third takes the third and seventh that the key has.
fn of_the_key(harmony: &Harmony) -> Scale {
    let Key { mode, .. } = harmony.key;
    let key_has = |degree| harmony.key.contains(harmony.pitch_class(degree));
    let major_third = key_has(Degree::natural(3));
    let minor_third = key_has(Degree::new(3, -1));
    match (major_third, minor_third) {
        (true, false) if key_has(Degree::natural(7)) => Scale::IONIAN,
        (true, false) => Scale::MIXOLYDIAN,
        (false, true) => Scale::DORIAN,
        _ if mode == Mode::Minor => Scale::DORIAN,
        _ => Scale::MIXOLYDIAN,
    }
}

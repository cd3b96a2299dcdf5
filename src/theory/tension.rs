//! What a chord symbol leaves open, by function. The choices are common practice.

use super::{ChordSymbol, Degree, Function, Key, Mode, Quality};

/// The degrees beyond the triad that may be played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct OpenDegrees {
    pub(super) seventh: Option<Degree>,
    pub(super) ninth: Option<Degree>,
    pub(super) eleventh: Option<Degree>,
    pub(super) thirteenth: Option<Degree>,
}

/// What is written wins; what is not written follows from quality and function.
pub(super) fn open_degrees(chord: &ChordSymbol, function: Function, key: Key) -> OpenDegrees {
    let given = if function.is_dominant() {
        dominant(chord, function)
    } else {
        by_quality(chord, function, key)
    };
    let suspended = chord.is_suspended();
    OpenDegrees {
        seventh: chord.seventh_or_sixth().or(given.seventh),
        ninth: chord.degree(9).or(given.ninth),
        // Under a suspension the fourth stands for the third and cannot be an eleventh too.
        eleventh: if suspended { None } else { chord.degree(11).or(given.eleventh) },
        thirteenth: written_thirteenth(chord).or(given.thirteenth),
    }
}

/// `13` or `b13`; the `6` of a sixth chord; a raised fifth, which is the flat thirteenth.
fn written_thirteenth(chord: &ChordSymbol) -> Option<Degree> {
    let raised_fifth = chord.has(Degree::new(5, 1)).then_some(Degree::new(13, -1));
    chord.degree(13).or_else(|| chord.degree(6)).or(raised_fifth)
}

fn dominant(chord: &ChordSymbol, function: Function) -> OpenDegrees {
    let altered = function == Function::DominantToMinor;
    let lydian = matches!(function, Function::StaticDominant | Function::TritoneSubstitute);
    let alter = if altered { -1 } else { 0 };
    let sharp_eleven = Degree::new(11, 1);
    let written_flat_five = chord.has(Degree::new(5, -1));
    OpenDegrees {
        seventh: Some(Degree::new(7, -1)),
        ninth: Some(Degree::new(9, alter)),
        eleventh: (lydian || written_flat_five).then_some(sharp_eleven),
        thirteenth: Some(Degree::new(13, alter)),
    }
}

fn by_quality(chord: &ChordSymbol, function: Function, key: Key) -> OpenDegrees {
    let natural = |number| Some(Degree::natural(number));
    let bare = OpenDegrees::default();
    match chord.quality() {
        Quality::Major => OpenDegrees {
            seventh: natural(6),
            ninth: natural(9),
            eleventh: lydian_eleventh(chord, key),
            thirteenth: natural(13),
        },
        Quality::Augmented => OpenDegrees {
            ninth: natural(9),
            eleventh: chord.degree(7).map(|_| Degree::new(11, 1)),
            ..bare
        },
        Quality::Minor => OpenDegrees {
            seventh: Some(minor_seventh(function, key)),
            ninth: natural(9),
            eleventh: natural(11),
            // A thirteenth would be the third of the dominant that is to come.
            thirteenth: None,
        },
        Quality::MinorMajor => OpenDegrees {
            ninth: natural(9),
            eleventh: natural(11),
            thirteenth: natural(13),
            ..bare
        },
        // The ninth of a half-diminished chord is foreign to the key: it takes its root.
        Quality::HalfDiminished => {
            OpenDegrees { eleventh: natural(11), thirteenth: Some(Degree::new(13, -1)), ..bare }
        }
        Quality::Diminished => OpenDegrees { seventh: Some(Degree::new(7, -2)), ..bare },
        Quality::Suspended => OpenDegrees { ninth: natural(9), ..bare },
        Quality::Power | Quality::Dominant | Quality::SuspendedDominant => bare,
    }
}

/// A raised eleventh where the key has it (the IV of major) or where the root is foreign to the
/// key (bII, bVI); nowhere else, for the plain eleventh clashes with a major third.
fn lydian_eleventh(chord: &ChordSymbol, key: Key) -> Option<Degree> {
    let raised = Degree::new(11, 1);
    let fits = key.contains(chord.pitch_class(raised)) || !key.contains(chord.root.pitch_class());
    let has_lowered_fifth = chord.has(Degree::new(5, -1));
    (fits || has_lowered_fifth).then_some(raised)
}

/// On a bare minor triad: the sixth where it is the tonic of a minor key, else the seventh.
fn minor_seventh(function: Function, key: Key) -> Degree {
    if function == Function::Tonic && key.mode == Mode::Minor {
        Degree::natural(6)
    } else {
        Degree::new(7, -1)
    }
}

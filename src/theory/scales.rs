//! The scales by name: data.

use super::{Degree, Scale};

const fn natural(number: u8) -> Degree {
    Degree::natural(number)
}

const fn flat(number: u8) -> Degree {
    Degree::new(number, -1)
}

const fn sharp(number: u8) -> Degree {
    Degree::new(number, 1)
}

/// The scales of jazz, with the chords that take them (Levine, The Jazz Theory Book, 1995; the
/// eight-note scales after Baker, How to Play Bebop, 1987; both from memory).
impl Scale {
    /// Major chords at rest.
    pub const IONIAN: Scale = Scale::new(
        "ionian",
        &[natural(1), natural(2), natural(3), natural(4), natural(5), natural(6), natural(7)],
    );
    /// Minor sevenths on the way to a dominant.
    pub const DORIAN: Scale = Scale::new(
        "dorian",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), natural(6), flat(7)],
    );
    /// A dominant suspended over a flat ninth; `m7b9`.
    pub const PHRYGIAN: Scale = Scale::new(
        "phrygian",
        &[natural(1), flat(2), flat(3), natural(4), natural(5), flat(6), flat(7)],
    );
    /// Major chords with a raised eleventh.
    pub const LYDIAN: Scale = Scale::new(
        "lydian",
        &[natural(1), natural(2), natural(3), sharp(4), natural(5), natural(6), natural(7)],
    );
    /// Dominants and suspended dominants.
    pub const MIXOLYDIAN: Scale = Scale::new(
        "mixolydian",
        &[natural(1), natural(2), natural(3), natural(4), natural(5), natural(6), flat(7)],
    );
    /// The minor seventh on the sixth degree.
    pub const AEOLIAN: Scale = Scale::new(
        "aeolian",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), flat(6), flat(7)],
    );
    /// Half-diminished chords.
    pub const LOCRIAN: Scale = Scale::new(
        "locrian",
        &[natural(1), flat(2), flat(3), natural(4), flat(5), flat(6), flat(7)],
    );
    /// Minor chords with a sixth or a major seventh.
    pub const MELODIC_MINOR: Scale = Scale::new(
        "melodic minor",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), natural(6), natural(7)],
    );
    /// A dominant suspended over a flat ninth; mode 2 of melodic minor.
    pub const DORIAN_B2: Scale = Scale::new(
        "dorian b2",
        &[natural(1), flat(2), flat(3), natural(4), natural(5), natural(6), flat(7)],
    );
    /// `maj7#5`; mode 3 of melodic minor.
    pub const LYDIAN_AUGMENTED: Scale = Scale::new(
        "lydian augmented",
        &[natural(1), natural(2), natural(3), sharp(4), sharp(5), natural(6), natural(7)],
    );
    /// `7#11`; mode 4 of melodic minor.
    pub const LYDIAN_DOMINANT: Scale = Scale::new(
        "lydian dominant",
        &[natural(1), natural(2), natural(3), sharp(4), natural(5), natural(6), flat(7)],
    );
    /// `9b13`; mode 5 of melodic minor.
    pub const MIXOLYDIAN_B6: Scale = Scale::new(
        "mixolydian b6",
        &[natural(1), natural(2), natural(3), natural(4), natural(5), flat(6), flat(7)],
    );
    /// Half-diminished chords with a natural ninth; mode 6 of melodic minor.
    pub const LOCRIAN_NAT_2: Scale = Scale::new(
        "locrian nat 2",
        &[natural(1), natural(2), flat(3), natural(4), flat(5), flat(6), flat(7)],
    );
    /// `7alt`; mode 7 of melodic minor.
    pub const ALTERED: Scale = Scale::new(
        "altered",
        &[natural(1), flat(2), sharp(2), natural(3), flat(5), flat(6), flat(7)],
    );
    /// `m(maj7)` with a flat sixth.
    pub const HARMONIC_MINOR: Scale = Scale::new(
        "harmonic minor",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), flat(6), natural(7)],
    );
    /// `7b9b13`; mode 5 of harmonic minor.
    pub const PHRYGIAN_DOMINANT: Scale = Scale::new(
        "phrygian dominant",
        &[natural(1), flat(2), natural(3), natural(4), natural(5), flat(6), flat(7)],
    );
    /// A major seventh chord with a flat sixth.
    pub const HARMONIC_MAJOR: Scale = Scale::new(
        "harmonic major",
        &[natural(1), natural(2), natural(3), natural(4), natural(5), flat(6), natural(7)],
    );
    /// `13b9`, `7#9`.
    pub const DIMINISHED_HALF_WHOLE: Scale = Scale::new(
        "diminished half-whole",
        &[natural(1), flat(2), sharp(2), natural(3), sharp(4), natural(5), natural(6), flat(7)],
    );
    /// Diminished sevenths.
    pub const DIMINISHED_WHOLE_HALF: Scale = Scale::new(
        "diminished whole-half",
        &[natural(1), natural(2), flat(3), natural(4), flat(5), flat(6), natural(6), natural(7)],
    );
    /// `7#5`, `9#5`.
    pub const WHOLE_TONE: Scale = Scale::new(
        "whole tone",
        &[natural(1), natural(2), natural(3), sharp(4), sharp(5), flat(7)],
    );
    /// Dominants, with a passing note between root and b7.
    pub const BEBOP_DOMINANT: Scale = Scale::new(
        "bebop dominant",
        &[
            natural(1),
            natural(2),
            natural(3),
            natural(4),
            natural(5),
            natural(6),
            flat(7),
            natural(7),
        ],
    );
    /// Major chords, with a passing note between 5 and 6.
    pub const BEBOP_MAJOR: Scale = Scale::new(
        "bebop major",
        &[
            natural(1),
            natural(2),
            natural(3),
            natural(4),
            natural(5),
            sharp(5),
            natural(6),
            natural(7),
        ],
    );
    /// Minor sevenths, with both thirds.
    pub const BEBOP_DORIAN: Scale = Scale::new(
        "bebop dorian",
        &[natural(1), natural(2), flat(3), natural(3), natural(4), natural(5), natural(6), flat(7)],
    );
    /// `m6`, `m(maj7)`, with a passing note between 5 and 6.
    pub const BEBOP_MELODIC_MINOR: Scale = Scale::new(
        "bebop melodic minor",
        &[
            natural(1),
            natural(2),
            flat(3),
            natural(4),
            natural(5),
            sharp(5),
            natural(6),
            natural(7),
        ],
    );
    /// Minor sevenths, with a raised seventh passing between b7 and root.
    pub const BEBOP_MINOR: Scale = Scale::new(
        "bebop minor",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), natural(6), flat(7), natural(7)],
    );
    /// Half-diminished chords, with a natural fifth passing.
    pub const BEBOP_LOCRIAN: Scale = Scale::new(
        "bebop locrian",
        &[natural(1), flat(2), flat(3), natural(4), flat(5), natural(5), flat(6), flat(7)],
    );
    /// The minor cadence, natural minor with the raised seventh added.
    pub const BEBOP_HARMONIC_MINOR: Scale = Scale::new(
        "bebop harmonic minor",
        &[natural(1), natural(2), flat(3), natural(4), natural(5), flat(6), flat(7), natural(7)],
    );
    /// Major chords and dominants.
    pub const MAJOR_PENTATONIC: Scale = Scale::new(
        "major pentatonic",
        &[natural(1), natural(2), natural(3), natural(5), natural(6)],
    );
    /// Minor sevenths.
    pub const MINOR_PENTATONIC: Scale =
        Scale::new("minor pentatonic", &[natural(1), flat(3), natural(4), natural(5), flat(7)]);
    /// The blues.
    pub const BLUES: Scale =
        Scale::new("blues", &[natural(1), flat(3), natural(4), flat(5), natural(5), flat(7)]);
    /// The first degree of a blues.
    pub const MAJOR_BLUES: Scale = Scale::new(
        "major blues",
        &[natural(1), natural(2), flat(3), natural(3), natural(5), natural(6)],
    );
    /// `maj7#5`.
    pub const AUGMENTED_HEXATONIC: Scale = Scale::new(
        "augmented hexatonic",
        &[natural(1), flat(3), natural(3), natural(5), flat(6), natural(7)],
    );
    /// Anything.
    pub const CHROMATIC: Scale = Scale::new(
        "chromatic",
        &[
            natural(1),
            flat(2),
            natural(2),
            flat(3),
            natural(3),
            natural(4),
            flat(5),
            natural(5),
            flat(6),
            natural(6),
            flat(7),
            natural(7),
        ],
    );

    /// All of them.
    pub const ALL: [Scale; 33] = [
        Scale::IONIAN,
        Scale::DORIAN,
        Scale::PHRYGIAN,
        Scale::LYDIAN,
        Scale::MIXOLYDIAN,
        Scale::AEOLIAN,
        Scale::LOCRIAN,
        Scale::MELODIC_MINOR,
        Scale::DORIAN_B2,
        Scale::LYDIAN_AUGMENTED,
        Scale::LYDIAN_DOMINANT,
        Scale::MIXOLYDIAN_B6,
        Scale::LOCRIAN_NAT_2,
        Scale::ALTERED,
        Scale::HARMONIC_MINOR,
        Scale::PHRYGIAN_DOMINANT,
        Scale::HARMONIC_MAJOR,
        Scale::DIMINISHED_HALF_WHOLE,
        Scale::DIMINISHED_WHOLE_HALF,
        Scale::WHOLE_TONE,
        Scale::BEBOP_DOMINANT,
        Scale::BEBOP_MAJOR,
        Scale::BEBOP_DORIAN,
        Scale::BEBOP_MELODIC_MINOR,
        Scale::BEBOP_MINOR,
        Scale::BEBOP_LOCRIAN,
        Scale::BEBOP_HARMONIC_MINOR,
        Scale::MAJOR_PENTATONIC,
        Scale::MINOR_PENTATONIC,
        Scale::BLUES,
        Scale::MAJOR_BLUES,
        Scale::AUGMENTED_HEXATONIC,
        Scale::CHROMATIC,
    ];
}

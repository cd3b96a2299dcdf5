//! Scales against the table (itself checked with music21 and tonal), and the scale of each chord.

use countoff::theory::{
    Degree, Harmony, Key, NoteName, Scale, analyse, chord_scale, line_scale, parse_chord,
};

const TABLE: &str = include_str!("../facts/scales.tsv");

fn rows() -> Vec<Vec<&'static str>> {
    let rows = TABLE.lines().skip(1).take_while(|line| !line.is_empty());
    rows.map(|line| line.split('\t').collect()).collect()
}

#[test]
fn every_scale_of_the_table_is_there() {
    let rows = rows();
    assert_eq!(rows.len(), Scale::ALL.len());
    for (row, scale) in rows.iter().zip(Scale::ALL) {
        assert!(row[0].starts_with(scale.name), "{} as {}", row[0], scale.name);
        let degrees: Vec<Degree> = row[1].split(' ').map(|word| word.parse().unwrap()).collect();
        assert_eq!(scale.degrees, degrees, "{}", scale.name);
        let on_c = scale.pitch_classes("C".parse().unwrap());
        let expected: Vec<u8> = row[2].split(' ').map(|word| word.parse().unwrap()).collect();
        assert_eq!(on_c, expected, "{}", scale.name);
        assert_eq!(Scale::named(scale.name), Some(scale));
    }
}

/// music21's and tonal's columns, where they have the scale.
#[test]
fn the_libraries_have_the_same_notes() {
    let mut compared = 0;
    for (row, scale) in rows().iter().zip(Scale::ALL) {
        for cell in [row[5], row[7]].into_iter().filter(|cell| *cell != "-") {
            let theirs: Vec<u8> = cell.split(' ').map(|word| word.parse().unwrap()).collect();
            let ours: Vec<u8> = scale.semitones().collect();
            // tonal's "minor bebop" has a flat sixth, as our bebop harmonic minor.
            let known = scale == Scale::BEBOP_MINOR && row[6] == "minor bebop";
            assert_eq!(ours != theirs, known, "{}", scale.name);
            compared += 1;
        }
    }
    assert!(compared > 45, "{compared}");
}

#[test]
fn modes_share_their_notes() {
    let sorted = |scale: Scale, root: &str| {
        let mut notes = scale.pitch_classes(root.parse::<NoteName>().unwrap());
        notes.sort_unstable();
        notes
    };
    for (scale, root, parent, parent_root) in [
        (Scale::DORIAN, "D", Scale::IONIAN, "C"),
        (Scale::LOCRIAN, "B", Scale::IONIAN, "C"),
        (Scale::LYDIAN, "F", Scale::IONIAN, "C"),
        (Scale::ALTERED, "G", Scale::MELODIC_MINOR, "Ab"),
        (Scale::LYDIAN_DOMINANT, "Db", Scale::MELODIC_MINOR, "Ab"),
        (Scale::PHRYGIAN_DOMINANT, "D", Scale::HARMONIC_MINOR, "G"),
        (Scale::DIMINISHED_WHOLE_HALF, "Ab", Scale::DIMINISHED_HALF_WHOLE, "G"),
    ] {
        assert_eq!(sorted(scale, root), sorted(parent, parent_root), "{} {root}", scale.name);
    }
}

#[test]
fn notes_are_spelled_from_the_root() {
    let notes = |scale: Scale, root: &str| {
        let notes = scale.notes(root.parse().unwrap());
        notes.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(notes(Scale::IONIAN, "Gb"), "Gb Ab Bb Cb Db Eb F");
    assert_eq!(notes(Scale::PHRYGIAN_DOMINANT, "D"), "D Eb F# G A Bb C");
}

/// Common practice: the altered scale on G holds the triads of Eb and Db; the eight-note scale on
/// D with the raised seventh those of A and F.
#[test]
fn scales_hold_their_upper_triads() {
    let holds = |scale: Scale, root: &str, triad: [u8; 3]| {
        let notes = scale.pitch_classes(root.parse().unwrap());
        triad.into_iter().all(|note| notes.contains(&note))
    };
    assert!(holds(Scale::ALTERED, "G", [3, 7, 10]) && holds(Scale::ALTERED, "G", [1, 5, 8]));
    assert!(holds(Scale::BEBOP_MINOR, "D", [9, 1, 4]) && holds(Scale::BEBOP_MINOR, "D", [5, 9, 0]));
}

fn harmonies(chords: &str, key: &str) -> Vec<Harmony> {
    let key: Key = key.parse().unwrap();
    let chords: Vec<_> =
        chords.split_whitespace().map(|text| parse_chord(text, key).unwrap()).collect();
    analyse(&chords, key, true)
}

fn scales(chords: &str, key: &str, choose: fn(&Harmony) -> Scale) -> Vec<&'static str> {
    harmonies(chords, key).iter().map(|harmony| choose(harmony).name).collect()
}

#[test]
fn chord_scales_follow_function() {
    for (chords, key, expected) in [
        ("Dm7 G7 Cmaj7", "C", &["dorian", "mixolydian", "ionian"][..]),
        ("Am7b5 D7 Gm6", "Gm", &["locrian", "phrygian dominant", "melodic minor"]),
        ("Cmaj7 Fmaj7 Am7", "C", &["ionian", "lydian", "aeolian"]),
        ("F7 Bb7 F7 Eb7", "F", &["mixolydian", "lydian dominant", "mixolydian", "lydian dominant"]),
        ("Dm7 Db7 Cmaj7", "C", &["dorian", "lydian dominant", "ionian"]),
        ("Dm9b5 G7alt Cm(maj7)", "Cm", &["locrian nat 2", "altered", "melodic minor"]),
        ("G7sus4 G7sus4b9 Cmaj7", "C", &["mixolydian", "dorian b2", "ionian"]),
        ("G13b9 Cmaj7#5", "C", &["diminished half-whole", "lydian augmented"]),
        ("G7#5 C6", "C", &["whole tone", "ionian"]),
        ("G9b13 C6", "C", &["mixolydian b6", "ionian"]),
        ("G7#9b13 Cm6", "Cm", &["altered", "melodic minor"]),
        ("Bdim7 Cmaj7#11", "C", &["diminished whole-half", "lydian"]),
        ("Em7b9 F5", "C", &["phrygian", "ionian"]),
    ] {
        assert_eq!(scales(chords, key, chord_scale), expected, "{chords}");
    }
}

/// What the accompaniment may play is never outside the chord's scale, a plain fifth excepted.
#[test]
fn chord_scales_hold_what_sounds() {
    let blues = "F7 Bb7 F7 Cm7 F7b9 Bb7 Bdim7 F7 Am7b5 D7b9 Gm7 C7alt F13 D7#9 G9 C7sus4b9";
    let minor = "Cm6 Fm7 Dm7b5 G7 Abmaj7 Db7 G7#5#9 Cm(maj7) Ebmaj7#5 Bb13#11 Gb5 C°maj7";
    for (chords, key) in [(blues, "F"), (minor, "Cm"), ("C6/9 A7 D9 G13 E7 Am9 D13 Fm6", "C")] {
        for harmony in harmonies(chords, key) {
            let scale = chord_scale(&harmony);
            let tensions = [harmony.seventh, harmony.ninth, harmony.thirteenth];
            let written = harmony.symbol.degrees.iter().copied();
            for degree in written.chain(tensions.into_iter().flatten()) {
                let excepted = degree == Degree::natural(5);
                assert!(
                    excepted || scale.contains(degree),
                    "{} {degree} in {}",
                    harmony.symbol,
                    scale.name
                );
            }
        }
    }
}

#[test]
fn lines_take_eight_notes_and_alter_what_resolves() {
    for (chords, key, expected) in [
        ("Dm7 G7 Cmaj7", "C", &["bebop minor", "altered", "bebop major"][..]),
        ("Am7b5 D7 Gm6", "Gm", &["locrian", "altered", "bebop melodic minor"]),
        ("F7 Bb7 C7", "F", &["mixolydian", "lydian dominant", "altered"]),
        ("Dm7 G13 Cmaj7#11", "C", &["bebop minor", "mixolydian", "lydian"]),
        ("G7sus4 C6", "C", &["mixolydian", "bebop major"]),
        ("Dm7 Db7 C6", "C", &["bebop minor", "lydian dominant", "bebop major"]),
    ] {
        assert_eq!(scales(chords, key, line_scale), expected, "{chords}");
    }
}

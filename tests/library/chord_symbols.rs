//! Chord symbols against the table of the trade's reading and of five general-purpose libraries.

use countoff::theory::{ChordSymbol, Degree, Interval, Key, NoteName, parse_chord};
use proptest::prelude::*;

/// Other spellings of the trade, each the same chord as one of the table's (common practice).
#[test]
fn other_spellings_are_the_same_chords() {
    for (text, same) in [
        ("EbMA7", "Ebmaj7"),
        ("Ebj7", "Ebmaj7"),
        ("Ebj", "Ebmaj7"),
        ("Eb^7", "Ebmaj7"),
        ("Eb^9", "Ebmaj9"),
        ("Cm^7", "Cm(maj7)"),
        ("C–7", "Cm7"),
        ("C−7", "Cm7"),
        ("C–7–5", "Cm7b5"),
        ("CMI7", "Cm7"),
        ("CMin7", "Cm7"),
        ("Bbdom7", "Bb7"),
        ("Bbdom9", "Bb9"),
        ("Bbdom", "Bb7"),
        ("Bº7", "Bdim7"),
        ("B˚", "Bdim"),
    ] {
        assert_eq!(ChordSymbol::parse(text), ChordSymbol::parse(same), "{text}");
        assert!(ChordSymbol::parse(text).is_ok(), "{text}");
    }
}

/// Sources beside each row; see the table's own columns.
const TABLE: &str = include_str!("../facts/chord_symbols.tsv");

struct Row {
    cells: Vec<&'static str>,
}

impl Row {
    fn symbol(&self) -> &'static str {
        self.cells[0]
    }
    fn suffix(&self) -> &'static str {
        self.cells[2]
    }
    /// The degrees, without the mark for a bass that is no chord tone.
    fn degrees(&self) -> Vec<Degree> {
        let degrees = self.cells[4].split(' ').filter(|word| !word.ends_with("bass"));
        degrees.map(|word| word.parse().unwrap()).collect()
    }
    fn pitch_classes(&self) -> Vec<u8> {
        numbers(self.cells[5])
    }
    fn bass(&self) -> u8 {
        self.cells[6].parse().unwrap()
    }
}

fn numbers(cell: &str) -> Vec<u8> {
    cell.split(' ').map(|word| word.parse().unwrap()).collect()
}

fn rows() -> Vec<Row> {
    let rows = TABLE.lines().skip(1).map(|line| Row { cells: line.split('\t').collect() });
    let rows: Vec<Row> = rows.collect();
    assert_eq!(rows.len(), 426);
    rows
}

#[test]
fn every_row_spells_its_degrees_pitch_classes_and_bass() {
    for row in rows() {
        let chord = ChordSymbol::parse(row.symbol()).unwrap();
        assert_eq!(chord.degrees, row.degrees(), "{}", row.symbol());
        assert_eq!(chord.pitch_classes(), row.pitch_classes(), "{}", row.symbol());
        assert_eq!(chord.bass_note().pitch_class(), row.bass(), "{}", row.symbol());
    }
}

#[test]
fn every_suffix_spells_the_same_on_every_root() {
    for row in rows().iter().filter(|row| row.cells[1] == "C" && row.cells[3] != "slash") {
        for letter in ["C", "D", "E", "F", "G", "A", "B"] {
            for accidental in ["", "b", "#", "bb", "##", "♭", "♯"] {
                let root = format!("{letter}{accidental}");
                let text = format!("{root}{}", row.suffix());
                let chord = ChordSymbol::parse(&text).unwrap();
                assert_eq!(chord.root, root.parse::<NoteName>().unwrap(), "{text}");
                assert_eq!(chord.degrees, row.degrees(), "{text}");
            }
        }
    }
}

/// What each library column holds where it differs from the trade's reading, with the reason;
/// any other difference fails.
#[test]
fn differences_from_the_libraries_are_known_ones() {
    let header: Vec<&str> = TABLE.lines().next().unwrap().split('\t').collect();
    let column = |name: &str| header.iter().position(|cell| *cell == name).unwrap();
    let libraries = [
        ("mir_eval", column("mir_eval_encode_pcs")),
        ("music21", column("music21_pcs")),
        ("pychord", column("pychord_pcs")),
        ("tonal", column("tonal_pcs")),
        ("chord-symbol", column("chord_symbol_npm_pcs")),
    ];
    let mut compared = 0;
    for row in rows() {
        let ours = ChordSymbol::parse(row.symbol()).unwrap().pitch_classes();
        for (library, column) in libraries {
            let cell = row.cells[column];
            if cell == "-" {
                continue; // the library does not read the symbol
            }
            compared += 1;
            let agrees = numbers(cell) == ours;
            let reason = reason_to_differ(library, row.suffix());
            assert_eq!(agrees, reason.is_none(), "{library} on {}: {reason:?}", row.symbol());
        }
    }
    assert!(compared > 1_500, "{compared}");
}

fn reason_to_differ(library: &str, suffix: &str) -> Option<&'static str> {
    const ELEVENTH: &str = "stacks thirds up to the 13th; musicians leave the 11th out";
    const THIRD: &str = "leaves the third out of an 11 chord; we keep it in the spelling";
    const FIFTH: &str = "takes b13 for #5 and drops the fifth; b13 keeps it";
    const MINUS: &str = "takes `-` for a flat";
    const SIX_NINE: &str = "takes `6/9` for a bass, `69` for something else";
    const SIXTH_NINTH: &str = "takes `6(9)` for a seventh chord";
    const ALTERED: &str = "spells another set for `alt`; ours has both fifths and both ninths";
    const BOTH_FIFTHS: &str = "keeps the fifth beside b5";
    match (library, suffix) {
        ("mir_eval" | "pychord", "maj13" | "13") | ("music21", "13" | "m13") => Some(ELEVENTH),
        ("chord-symbol", "m13") | ("music21" | "pychord", "13b9" | "13#9") => Some(ELEVENTH),
        ("music21", "13#11" | "13b9#11" | "13b5") | ("pychord", "7b9b13") => Some(ELEVENTH),
        ("tonal" | "chord-symbol", "11") => Some(THIRD),
        ("tonal" | "chord-symbol", "7b13" | "9b13") => Some(FIFTH),
        ("chord-symbol", "7(b9,b13)" | "7b9b13" | "7#9b13") => Some(FIFTH),
        ("music21", "-" | "-6" | "-7" | "-7b5") => Some(MINUS),
        ("music21", "69") | ("pychord", "6/9" | "m6/9") => Some(SIX_NINE),
        ("chord-symbol", "6(9)") => Some(SIXTH_NINTH),
        ("tonal", "7alt") => Some(ALTERED),
        ("tonal", "7b5b9" | "7b5#9") => Some(BOTH_FIFTHS),
        _ => None,
    }
}

#[test]
fn canonical_spellings_read_back_as_themselves() {
    for row in rows() {
        let chord = ChordSymbol::parse(row.symbol()).unwrap();
        let written = chord.to_string();
        assert_eq!(ChordSymbol::parse(&written).unwrap(), chord, "{} as {written}", row.symbol());
    }
}

#[test]
fn canonical_spellings_are_the_usual_ones() {
    for (written, canonical) in [
        ("C-Δ7", "Cm(maj7)"),
        ("C°7", "Cdim7"),
        ("Cø", "Cm7b5"),
        ("C+7", "C7#5"),
        ("C+", "Caug"),
        ("C(b5)", "C(b5)"),
        ("C7(b9,b13)", "C7b9b13"),
        ("C7b9sus4", "C7sus4b9"),
        ("C69", "C6/9"),
        ("CΔ", "Cmaj7"),
        ("Calt", "C7alt"),
        ("Cm(add9)", "Cmadd9"),
        ("C7#9#5", "C7#5#9"),
        ("B♭7♯11", "Bb7#11"),
    ] {
        assert_eq!(ChordSymbol::parse(written).unwrap().to_string(), canonical);
    }
}

/// Suffixes put together from the pieces of which musicians make them.
fn suffixes() -> impl Strategy<Value = String> {
    const WORDS: [&str; 13] =
        ["", "m", "-", "maj", "M", "dim", "°", "aug", "+", "ø", "Δ", "min", "mi"];
    const NUMBERS: [&str; 9] = ["", "5", "6", "6/9", "69", "7", "9", "11", "13"];
    const CHANGES: [&str; 30] = [
        "b5", "#5", "b9", "#9", "#11", "b13", "b6", "sus4", "sus2", "sus", "(maj7)", "add9",
        "add11", "add13", "add2", "add4", "no3", "no5", "(9)", "(13)", "alt", "(#5,b9)", "add6",
        "-5", "+9", "/b13", "omit3", "add3", "sus24", "add5",
    ];
    let changes = prop::collection::vec(prop::sample::select(&CHANGES[..]), 0..4);
    let pieces = (prop::sample::select(&WORDS[..]), prop::sample::select(&NUMBERS[..]), changes);
    pieces.prop_map(|(word, number, changes)| format!("{word}{number}{}", changes.concat()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_read_is_written_so_that_it_reads_back(
        root in "[A-G](b|#|bb|##)?",
        suffix in suffixes(),
        bass in prop::option::of("/[A-G](b|#)?"),
    ) {
        let text = format!("{root}{suffix}{}", bass.unwrap_or_default());
        if let Ok(chord) = ChordSymbol::parse(&text) {
            let written = chord.to_string();
            prop_assert_eq!(ChordSymbol::parse(&written), Ok(chord), "{} as {}", text, written);
        }
    }

    #[test]
    fn no_numeral_panics_and_errors_point_into_it(
        text in "[b#]?(I|V|i|v|VI|ii|iv|X){1,2}(m|7|9|b|#|\\(|ø|°|maj|sus|6/9|x){0,4}(/[IViv35b]{0,3}){0,2}",
    ) {
        if let Err(error) = parse_chord(&text, Key::C) {
            prop_assert!(text.get(error.span.clone()).is_some(), "{:?} {:?}", text, error);
            if let Some(suggestion) = error.suggestion {
                prop_assert!(parse_chord(&suggestion, Key::C).is_ok(), "{} for {}", suggestion, text);
            }
        }
    }

    #[test]
    fn transposing_by_an_octave_of_fourths_comes_home(
        root in "[A-G](b|#)?",
        suffix in suffixes(),
    ) {
        if let Ok(chord) = ChordSymbol::parse(&format!("{root}{suffix}")) {
            let fourth = Interval { steps: 3, semitones: 5 };
            let mut moved = chord.clone();
            for _ in 0..12 {
                let pitch_classes = moved.pitch_classes();
                moved = moved.transposed(fourth);
                let up = |pitch_class: &u8| (pitch_class + 5) % 12;
                let mut expected: Vec<u8> = pitch_classes.iter().map(up).collect();
                expected.sort_unstable();
                prop_assert_eq!(moved.pitch_classes(), expected);
                prop_assert_eq!(&moved.degrees, &chord.degrees);
            }
        }
    }

    #[test]
    fn no_text_panics_and_errors_point_into_it(text in "\\PC{0,12}|[A-G](m|7|b|#|\\(|/|♭|Δ|a|d|1|3){0,9}") {
        if let Err(error) = ChordSymbol::parse(&text) {
            prop_assert!(error.span.start <= error.span.end && error.span.end <= text.len());
            prop_assert!(text.get(error.span.clone()).is_some(), "{:?} {:?}", text, error);
            if let Some(suggestion) = error.suggestion {
                prop_assert!(ChordSymbol::parse(&suggestion).is_ok(), "{}", suggestion);
            }
        }
    }
}

#[test]
fn errors_name_the_place_and_the_nearest_symbol() {
    for (text, span, suggestion) in [
        ("Cmaj7x", 5..6, Some("Cmaj7")),
        ("Dm7b6b4", 5..7, Some("Dm7b5")),
        ("bb7", 0..1, Some("Bb7")),
        ("H7", 0..1, Some("B7")),
        ("G7/h", 3..4, Some("G7/B")),
        ("C7(b9", 2..3, Some("C7b9")),
        ("As7", 1..3, Some("Ab7")),
        ("Fismaj7/D", 1..7, Some("F#maj7/D")),
        ("CDIM7", 1..5, Some("Cdim7")),
        ("Cmj7", 2..4, None),
        ("Cxyz", 1..4, None),
        ("Cma8", 3..4, Some("Cmaj7")),
        ("N.C.", 0..1, None),
        ("", 0..0, None),
    ] {
        let error = ChordSymbol::parse(text).unwrap_err();
        assert_eq!(error.span, span, "{text}: {error}");
        assert_eq!(error.suggestion.as_deref(), suggestion, "{text}: {error}");
    }
}

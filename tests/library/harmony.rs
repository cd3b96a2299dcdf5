//! What function decides: cadences, turnarounds, a blues, secondary dominants. The expected
//! tensions are common practice.

use countoff::theory::{ChordSymbol, Degree, Function, Harmony, Key, analyse, parse_chord};

fn harmonies(chords: &str, key: &str, circular: bool) -> Vec<Harmony> {
    let key: Key = key.parse().unwrap();
    let chords: Vec<ChordSymbol> =
        chords.split_whitespace().map(|text| parse_chord(text, key).unwrap()).collect();
    analyse(&chords, key, circular)
}

fn shown(degree: Option<Degree>) -> String {
    degree.map_or_else(|| "-".to_owned(), |degree| degree.to_string())
}

/// Each chord with its ninth, eleventh and thirteenth: `G7 9 - 13`.
fn tensions(chords: &str, key: &str, circular: bool) -> Vec<String> {
    let lines = harmonies(chords, key, circular).into_iter().map(|harmony| {
        let [ninth, eleventh, thirteenth] =
            [harmony.ninth, harmony.eleventh, harmony.thirteenth].map(shown);
        format!("{} {ninth} {eleventh} {thirteenth}", harmony.symbol)
    });
    lines.collect()
}

fn functions(chords: &str, key: &str, circular: bool) -> Vec<Function> {
    harmonies(chords, key, circular).into_iter().map(|harmony| harmony.function).collect()
}

#[test]
fn a_major_cadence_takes_natural_tensions() {
    assert_eq!(tensions("Dm7 G7 Cmaj7", "C", false), ["Dm7 9 11 -", "G7 9 - 13", "Cmaj7 9 - 13"]);
    assert_eq!(
        functions("Dm7 G7 Cmaj7", "C", false),
        [Function::Predominant, Function::DominantToMajor, Function::Tonic]
    );
}

#[test]
fn a_minor_cadence_lowers_ninth_and_thirteenth() {
    assert_eq!(
        tensions("Am7b5 D7 Gm6", "Gm", false),
        ["Am7b5 - 11 b13", "D7 b9 - b13", "Gm6 9 11 6"]
    );
    let [half_diminished, dominant, _] = harmonies("Am7b5 D7 Gm6", "Gm", false).try_into().unwrap();
    let note =
        |harmony: &Harmony, number| harmony.note(harmony.degree(number).unwrap()).to_string();
    // Eb and Bb over D7, never E or B natural; and over Am7b5 its own Eb and its root, no B.
    assert_eq!([note(&dominant, 9), note(&dominant, 13)], ["Eb", "Bb"]);
    assert_eq!([note(&half_diminished, 5), note(&half_diminished, 9)], ["Eb", "A"]);
}

#[test]
fn written_alterations_win() {
    assert_eq!(
        tensions("Am7b5 D13 Gm6 G7alt Cm7 F7b9 Bbmaj7#11", "Gm", false),
        [
            "Am7b5 - 11 b13",
            "D13 9 - 13",
            "Gm6 9 11 6",
            "G7alt b9 #11 b13",
            "Cm7 9 11 -",
            "F7b9 b9 - 13",
            "Bbmaj7#11 9 #11 13",
        ]
    );
}

#[test]
fn a_turnaround_goes_by_where_each_dominant_falls() {
    assert_eq!(
        tensions("Cmaj7 A7 Dm7 G7", "C", true),
        ["Cmaj7 9 - 13", "A7 b9 - b13", "Dm7 9 11 -", "G7 9 - 13"]
    );
    assert_eq!(tensions("Cm6 Am7b5 D7 G7", "Cm", true)[2..], ["D7 9 - 13", "G7 b9 - b13"]);
}

#[test]
fn the_last_chord_of_a_chorus_looks_to_the_first() {
    let last = |circular| functions("Fm7 Bb7 Ebmaj7 C7", "Eb", circular)[3];
    assert_eq!(last(true), Function::DominantToMinor);
    assert_eq!(last(false), Function::StaticDominant);
}

#[test]
fn a_blues_is_never_altered_but_where_it_falls_to_minor() {
    let blues = "F7 Bb7 F7 F7 Bb7 Bdim7 F7 D7 Gm7 C7 F7 C7";
    for harmony in harmonies(blues, "F", true) {
        let to_minor = harmony.symbol.to_string() == "D7";
        if harmony.function.is_dominant() {
            let expected = if to_minor { "b9" } else { "9" };
            assert_eq!(shown(harmony.ninth), expected, "{}", harmony.symbol);
        }
    }
    let found = functions(blues, "F", true);
    assert_eq!(found[0], Function::StaticDominant);
    assert_eq!(found[1], Function::StaticDominant);
    assert_eq!(found[7], Function::DominantToMinor);
    assert_eq!(found[11], Function::DominantToMajor);
    // The II7 that does not resolve.
    assert_eq!(tensions("F7 G7 Gm7 C7", "F", true)[1], "G7 9 #11 13");
}

#[test]
fn a_minor_blues_alters_the_way_to_the_fourth_degree() {
    let found = tensions("Cm6 Fm6 Cm6 C7 Fm6 Fm6 Cm6 Cm6 Ab7 G7 Cm6 G7", "Cm", true);
    assert_eq!(found[3], "C7 b9 - b13");
    assert_eq!(found[8], "Ab7 9 #11 13");
    assert_eq!(found[9], "G7 b9 - b13");
}

#[test]
fn secondary_dominants_go_by_their_goal() {
    assert_eq!(
        tensions("V7/ii ii7 V7/V V7 V7/IV IVmaj7 V7/vi vi7", "Bb", false),
        [
            "G7 b9 - b13",
            "Cm7 9 11 -",
            "C7 9 - 13",
            "F7 9 - 13",
            "Bb7 9 - 13",
            "Ebmaj7 9 #11 13",
            "D7 b9 - b13",
            "Gm7 9 11 -",
        ]
    );
}

#[test]
fn a_chain_of_dominants_stays_natural() {
    let chain = tensions("E7 A7 D7 G7 C6", "C", false);
    assert_eq!(chain[..4], ["E7 9 - 13", "A7 9 - 13", "D7 9 - 13", "G7 9 - 13"]);
}

#[test]
fn a_deceived_dominant_keeps_its_aim() {
    assert_eq!(tensions("Dm7 G7 Am7", "C", false)[1], "G7 9 - 13");
    assert_eq!(tensions("Am7b5 D7 Ebmaj7", "Gm", false)[1], "D7 b9 - b13");
    assert_eq!(tensions("Bm7b5 E7 Fmaj7", "C", false)[1], "E7 b9 - b13");
}

#[test]
fn tritone_substitutes_are_lydian_whatever_their_goal() {
    assert_eq!(tensions("Dm7 Db7 Cmaj7", "C", false)[1], "Db7 9 #11 13");
    assert_eq!(tensions("Dm7b5 Db7 Cm6", "Cm", false)[1], "Db7 9 #11 13");
    assert_eq!(functions("Dm7 Db7 C6", "C", false)[0], Function::Predominant);
}

#[test]
fn a_suspension_and_a_repeated_ii_do_not_hide_the_goal() {
    let found = tensions("D7sus4 D7 Gm6", "Gm", false);
    assert_eq!(found[..2], ["D7sus4 b9 - b13", "D7 b9 - b13"]);
    assert_eq!(tensions("D7 Am7b5 D7 Gm6", "Gm", false)[0], "D7 b9 - b13");
}

#[test]
fn bare_triads_take_what_their_function_gives() {
    let seventh = |chords, key, index: usize| shown(harmonies(chords, key, true)[index].degree(7));
    assert_eq!(seventh("C F G C", "C", 0), "6");
    assert_eq!(seventh("C F G C", "C", 1), "6");
    assert_eq!(seventh("C F G C", "C", 2), "b7");
    assert_eq!(seventh("Gm Cm D Gm", "Gm", 0), "6");
    assert_eq!(seventh("Gm Cm D Gm", "Gm", 1), "b7");
    assert_eq!(seventh("Gm Cm D Gm", "Gm", 2), "b7");
    assert_eq!(seventh("C F5 C", "C", 1), "-");
}

#[test]
fn suspensions_and_sixth_chords_have_stand_ins() {
    let harmony = &harmonies("G11 C6", "C", false);
    assert_eq!(shown(harmony[0].degree(3)), "4");
    assert_eq!(shown(harmony[0].degree(11)), "-");
    assert_eq!(shown(harmony[1].degree(7)), "6");
    assert_eq!(shown(harmony[1].degree(13)), "6");
}

#[test]
fn one_chord_or_none_is_no_trouble() {
    assert!(harmonies("", "C", true).is_empty());
    assert_eq!(functions("C7", "C", true), [Function::StaticDominant]);
    assert_eq!(functions("G7 G7 G7", "C", true), [Function::DominantToMajor; 3]);
}

/// Function knows no absolute pitch: in every key a progression has the same tensions.
#[test]
fn transposing_changes_no_function() {
    let progressions = [
        ("Dm7 G7 Cmaj7 A7 Dm7 Db7 C6 F7 Em7b5 A7b9 Dm6 Fm7 Bb7 Bdim7 Cmaj7/E G11", "C"),
        ("Cm6 Dm7b5 G7 Abmaj7 D7 G7#9 Cm(maj7) C7 Fm7 Bb7 Ebmaj7 Am7b5", "Cm"),
    ];
    for (chords, key) in progressions {
        let written: Vec<Harmony> = harmonies(chords, key, true);
        let home = written[0].key;
        for other in Key::circle_of_fourths(home.mode) {
            let interval = home.interval_to(other);
            let moved: Vec<ChordSymbol> =
                written.iter().map(|harmony| harmony.symbol.transposed(interval)).collect();
            for (before, after) in written.iter().zip(analyse(&moved, other, true)) {
                let open = |harmony: &Harmony| {
                    [harmony.seventh, harmony.ninth, harmony.eleventh, harmony.thirteenth]
                };
                assert_eq!(before.function, after.function, "{} in {other}", before.symbol);
                assert_eq!(open(before), open(&after), "{} in {other}", before.symbol);
            }
        }
    }
}

//! Check values of the trade (common practice).

use super::*;
use crate::theory::{ChordSymbol, Harmony, Key, Scale, analyse};

fn harmony(chord: &str, key: &str) -> Harmony {
    let symbol = ChordSymbol::parse(chord).unwrap();
    analyse(&[symbol], key.parse().unwrap(), false).remove(0)
}

/// Over Dm7 the lower neighbours are C#, E, G#, B and the upper ones Eb, Gb, Bb, Db.
#[test]
fn chord_tones_of_a_minor_seventh_and_their_neighbours() {
    let dm7 = harmony("Dm7", "C");
    let tones: Vec<u8> = chord_tones(&dm7).into_iter().map(|tone| dm7.pitch_class(tone)).collect();
    let below: Vec<u8> = tones.iter().map(|tone| (tone + 11) % 12).collect();
    let above: Vec<u8> = tones.iter().map(|tone| (tone + 1) % 12).collect();
    assert_eq!(tones, [2, 5, 9, 0]);
    assert_eq!(below, [1, 4, 8, 11]);
    assert_eq!(above, [3, 6, 10, 1]);
}

/// The altered scale on G holds the Eb and Db major triads, D minor's eight-note scale with the
/// raised seventh A and F.
#[test]
fn scales_hold_their_triads() {
    for (root, scale, triads) in
        [("G", Scale::ALTERED, ["Eb", "Db"]), ("D", Scale::BEBOP_MINOR, ["A", "F"])]
    {
        let set: PitchSet = scale.pitch_classes(root.parse().unwrap()).into_iter().collect();
        for triad in triads {
            let triad = Triad { root: triad.parse().unwrap(), kind: TriadKind::Major };
            assert!(set.includes(triad.set()), "{triad} in {root} {}", scale.name);
        }
    }
}

/// Fourths from the C scale begin C F B E A D G.
#[test]
fn fourths_from_a_major_scale() {
    let set: PitchSet = Scale::IONIAN.pitch_classes("C".parse().unwrap()).into_iter().collect();
    let stack: Vec<u8> =
        std::iter::successors(Some(36), |&at| set.steps_above(at, 3)).take(7).collect();
    assert_eq!(stack.iter().map(|pitch| pitch % 12).collect::<Vec<_>>(), [0, 5, 11, 4, 9, 2, 7]);
}

#[test]
fn chords_outside_the_key_have_no_key_scale() {
    let minor: Key = "Gm".parse().unwrap();
    let scale = |chord| key_scale(minor, &harmony(chord, "Gm")).map(|scale| scale.name);
    assert_eq!(scale("Am7b5"), Some("aeolian"));
    assert_eq!(scale("D7b9"), Some("harmonic minor"));
    assert_eq!(scale("Gm6"), Some("melodic minor"));
    assert_eq!(scale("B7"), None);
}

#[test]
fn layouts_fill_the_time() {
    for technique in Technique::ALL {
        for notes in 1..40 {
            if let Some(groups) = layout(technique, notes) {
                assert_eq!(groups.iter().sum::<usize>(), notes, "{technique}");
                assert!(groups.iter().all(|size| (1..=4).contains(size)));
            }
        }
    }
    assert_eq!(layout(Technique::TriadPairs, 8), Some(vec![3, 1, 3, 1]));
    assert_eq!(layout(Technique::TriadPairs, 5), Some(vec![3, 1, 1]));
}

#[test]
fn names_are_found_again_and_slips_are_mended() {
    for technique in Technique::ALL {
        assert_eq!(technique.name().parse(), Ok(technique));
        assert!((1..=5).contains(&technique.grade()));
    }
    let error = "enclosure".parse::<Technique>().unwrap_err();
    assert_eq!(error.nearest, Some("enclosures"));
    let grades = Technique::ALL.map(Technique::grade);
    assert!(grades.is_sorted());
}

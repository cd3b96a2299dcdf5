//! Which degrees the rootless style sounds.

use countoff::theory::Degree;
use countoff::units::Meter;

use super::Played;
use super::charts::{chart, progressions};

/// Four notes, none the root but where it stands for a ninth that may not be played.
#[test]
fn rootless_chords_have_four_notes_and_no_root() {
    for chart in progressions() {
        let played = Played::new("rootless", &chart);
        for voicing in played.voicings.bars.iter().flatten().flatten() {
            assert_eq!(voicing.notes.len(), 4);
            for note in &voicing.notes {
                assert!(note.degree != Degree::ROOT || note.asked == 9, "{voicing:?}");
            }
            assert!([3, 7].contains(&voicing.notes[0].asked));
        }
    }
}

/// What the symbol leaves open its function decides: the dominant to minor has b9 and b13, to
/// major 9 and 13, and what is written wins.
#[test]
fn the_function_colours_the_dominant() {
    for (key, bars, expected) in [
        ("Gm", "| D7 | Gm6 |", ["b13", "3", "b7", "b9"]),
        ("G", "| D7 | Gmaj7 |", ["13", "3", "b7", "9"]),
        ("G", "| D7b9 | Gmaj7 |", ["13", "3", "b7", "b9"]),
        ("Gm", "| D7#9 | Gm6 |", ["b13", "3", "b7", "#9"]),
    ] {
        let played = Played::new("rootless", &chart(key, Meter::FourFour, bars));
        let voicings: Vec<_> = played.voicings.bars.iter().flatten().flatten().collect();
        let mut degrees: Vec<String> =
            voicings[0].notes.iter().map(|note| note.degree.to_string()).collect();
        degrees.sort_unstable();
        let mut expected = expected.map(str::to_owned).to_vec();
        expected.sort_unstable();
        assert_eq!(degrees, expected, "{bars}");
    }
}

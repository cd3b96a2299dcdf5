//! Some sheets as they read. Look at every difference before it is accepted.

use super::planned;
use super::readable::readable;
use countoff::codec::musicxml::score::{Head, Item};

const LESSON: &str = r#"
format = 1
title = "Reading"
tempos = [72]
[[chart]]
name = "cadence"
key = "Gm"
form = "A"
A = "| Am7b5 D7b9 | Gm6 |"
[[line]]
name = "triplets"
chart = "cadence"
abc = """
FG | (3Ace g>f- f2 d2 | z2 B-B- B4 |
"""
[[line]]
name = "hers"
chart = "cadence"
hand = "left"
abc = """
[A,,G,]4 [D,,C]4 | [G,,E,B,]8 |
"""
[[track]]
name = "shells"
chart = "cadence"
comp = "shells"
choruses = 2
[[track]]
name = "walking ghosts"
chart = "cadence"
comp = "walking-ghosts"
[[track]]
name = "both hands"
chart = "cadence"
line = "triplets"
comp = "hers"
[files]
notes = ["concert", "b-flat", "e-flat", "bass-clef"]
"#;

fn sheet(name: &str) -> String {
    let (lesson, plan) = planned(LESSON).unwrap();
    let found = plan.notes.iter().find(|sheet| sheet.path.contains(name));
    let paths: Vec<&String> = plan.notes.iter().map(|sheet| &sheet.path).collect();
    let sheet = found.unwrap_or_else(|| panic!("{name} is not among {paths:?}"));
    readable(&sheet.score(&lesson, &plan.takes).unwrap())
}

/// A handout goes as the lesson does, whatever the names.
#[test]
fn sheets_of_a_handout_are_in_the_lessons_order() {
    let chart = |name: &str| {
        format!(
            "[[chart]]\nname = \"{name}\"\nkey = \"C\"\nA = \"| C6 |\"\n\
             [[track]]\nname = \"over {name}\"\nchart = \"{name}\"\ncomp = \"shells\"\n"
        )
    };
    let text = ["willow", "aspen", "maple"].map(chart).concat();
    let (_, plan) =
        planned(&format!("format = 1\ntitle = \"Trees\"\ntempos = [90]\n{text}")).unwrap();
    let mut sheets: Vec<_> = plan.notes.iter().collect();
    sheets.sort_by_key(|sheet| sheet.place_in_handout());
    let titles: Vec<&str> = sheets.iter().map(|sheet| sheet.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "willow in C",
            "aspen in C",
            "maple in C",
            "over willow: willow, in C",
            "over aspen: aspen, in C",
            "over maple: maple, in C",
        ]
    );
}

#[test]
fn a_left_hand_in_two_choruses() {
    insta::assert_snapshot!(sheet("01-shells"));
}

#[test]
fn a_walking_hand_with_ghost_notes() {
    insta::assert_snapshot!(sheet("02-walking"));
}

/// One line of a bass, which a reader takes in at once: no second voice for what a ghost note cuts
/// short.
#[test]
fn ghost_notes_stand_in_the_voice_that_they_belong_to() {
    let (lesson, plan) = planned(
        r#"
        format = 1
        title = "Ghosts"
        tempos = [100]
        [[chart]]
        name = "c"
        key = "Bb"
        A = "| Bbmaj7 G7b9 | Cm7 F7 | Dm7b5 G7 | Cm9 F13 | Fm7 Bb7 | Ebmaj7 | Dm7 Db7 | Cm7 F7 |"
        [[track]]
        name = "walking"
        chart = "c"
        comp = "walking-ghosts"
        choruses = 3
        "#,
    )
    .unwrap();
    let hands = plan.notes.iter().find(|sheet| sheet.path.contains("walking")).unwrap();
    let score = hands.score(&lesson, &plan.takes).unwrap();
    let measures = score.parts.iter().flat_map(|part| &part.measures);
    let notes = measures.flat_map(|measure| &measure.items).filter_map(|item| match item {
        Item::Note(note) => Some(note),
        _ => None,
    });
    let (mut ghosts, mut voices) = (0, std::collections::BTreeSet::new());
    for note in notes {
        ghosts += usize::from(matches!(note.head, Head::Ghost(_)));
        voices.insert(note.voice);
    }
    assert!(ghosts > 8, "{ghosts}");
    assert_eq!(voices.len(), 1, "{voices:?}");
}

#[test]
fn a_line_with_a_left_hand_that_was_written_too() {
    insta::assert_snapshot!(sheet("03-both"));
}

#[test]
fn a_lead_sheet_for_an_alto_saxophone() {
    insta::assert_snapshot!(sheet("line-triplets_g-minor_e-flat"));
}

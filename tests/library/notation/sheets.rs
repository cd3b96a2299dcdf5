//! Some sheets as they read. Look at every difference before it is accepted.

use super::planned;
use super::readable::readable;

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

#[test]
fn a_left_hand_in_two_choruses() {
    insta::assert_snapshot!(sheet("01-shells"));
}

#[test]
fn a_walking_hand_with_ghost_notes() {
    insta::assert_snapshot!(sheet("02-walking"));
}

#[test]
fn a_line_with_a_left_hand_that_was_written_too() {
    insta::assert_snapshot!(sheet("03-both"));
}

#[test]
fn a_lead_sheet_for_an_alto_saxophone() {
    insta::assert_snapshot!(sheet("line-triplets_g-minor_e-flat"));
}

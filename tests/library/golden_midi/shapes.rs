//! Every practice shape, played by a band with a line.

use std::fmt::Write as _;

use countoff::performance::Part;

use super::{assert_golden, hash, notes, takes};

/// Four bars, so that every shape goes round.
const CHART: &str = "key = 'Gm'\nA = '| Am7b5 | D7b9 | Gm6 | Cm7 F7 |'";

const LINE: &str = "[[line]]\nname = 'line'\nchart = 'chart'\n\
                    abc = 'FG | Aceg fedc | BA^FA cedc | B2 d>B G4 | (3GBd g2 z4 |'";

const SHAPES: [(&str, &str); 7] = [
    ("straight", "{ shape = 'straight' }"),
    ("loop", "{ shape = 'loop' }"),
    ("answer", "{ shape = 'answer', bars = 2 }"),
    ("ladder", "{ shape = 'ladder', from = 60, to = 120, step = 20 }"),
    ("round the keys", "{ shape = 'round the keys', order = 'fourths', announce = true }"),
    ("round the keys not announced", "{ shape = 'round the keys', announce = false }"),
    ("resting click", "{ shape = 'resting click', sounding = 1, silent = 1 }"),
];

/// Hashes of a band with a line, of a band without one, and of a left hand alone; the notes of a
/// line with a left hand, the click and the count-in.
#[test]
fn golden_practice_shapes() {
    for (name, shape) in SHAPES {
        // Twelve keys are enough of a thing.
        let choruses = if name.starts_with("round the keys") { 1 } else { 2 };
        let practice =
            format!("choruses = {choruses}\npractice = {shape}\nmixes = [{{ click = true }}]");
        let mut text = String::new();
        for players in [
            "line = 'line'\ncomp = 'guide-tones'\nbass = 'walking'\ndrums = 'ride'",
            "comp = 'rootless'\nbass = 'two-feel'\ndrums = 'brushes'",
            "comp = 'charleston'",
        ] {
            let track = format!("{players}\n{practice}\n{LINE}");
            let shown = players.replace('\n', ", ");
            let _ = writeln!(text, "{shown}: {}", hash(&takes(CHART, &track)));
        }
        let hands = format!("line = 'line'\ncomp = 'pushes'\n{practice}\n{LINE}");
        text +=
            &notes(&takes(CHART, &hands)[0], &[Part::Line, Part::Comp, Part::Click, Part::CountIn]);
        assert_golden(&format!("shape {name}"), &text);
    }
}

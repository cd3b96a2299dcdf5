//! Every technique of composed lines.

use std::fmt::Write as _;

use countoff::melody::Technique;
use countoff::performance::Part;

use super::{assert_golden, hash, notes, takes};

const CHART: &str = "key = 'Gm'\nA = '| Am7b5 | D7b9 | Gm6 | Cm7 F7 |'";

/// Hashes of four lines, of one that is moved and of one that breathes, and the notes of one.
#[test]
fn golden_techniques() {
    let mut text = String::new();
    for technique in Technique::ALL {
        let line = |more: &str| {
            let name = technique.name();
            format!(
                "line = 'line'\ncomp = 'shells'\n\
                 [[line]]\nname = 'line'\nchart = 'chart'\ntechnique = '{name}'\n{more}"
            )
        };
        let _ = writeln!(text, "{}", technique.name());
        for more in ["count = 4", "displace = 1", "bars = '2-3'\nrange = 'C4 G5'"] {
            let shown = more.replace('\n', ", ");
            let _ = writeln!(text, "{shown}: {}", hash(&takes(CHART, &line(more))));
        }
        text += &notes(&takes(CHART, &line(""))[0], &[Part::Line]);
    }
    assert_golden("techniques", &text);
}

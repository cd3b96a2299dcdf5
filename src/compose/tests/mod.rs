//! Rules of composed lines, over many charts and seeds.

pub(crate) mod charts;
mod general;
mod groups;
mod notes;
mod observed;
mod shares;
mod teaching;
mod variety;

use std::sync::OnceLock;

use crate::melody::{Form, Technique};

use super::{Composed, Request, compose};
use observed::Observed;

/// How many charts each technique goes over: 2,100 lines for all of them.
const CHARTS: u64 = 140;

/// Lines of all techniques over any charts, composed once for all tests.
pub(crate) fn lines() -> &'static [(Technique, u64, Form, Composed)] {
    static LINES: OnceLock<Vec<(Technique, u64, Form, Composed)>> = OnceLock::new();
    LINES.get_or_init(|| {
        let every = Technique::ALL.into_iter().flat_map(|t| (0..CHARTS).map(move |seed| (t, seed)));
        every
            .map(|(technique, seed)| {
                let form = charts::any_form(seed * 31 + u64::from(technique.grade()));
                let line = compose(&form, &Request::of(technique, seed));
                (technique, seed, form, line)
            })
            .collect()
    })
}

/// Says what is wrong with the lines of some techniques.
#[track_caller]
fn over_many_charts(techniques: &[Technique], wrong: impl Fn(&Observed) -> Vec<String>) {
    let wanted = lines().iter().filter(|(technique, ..)| techniques.contains(technique));
    for (technique, seed, form, line) in wanted {
        let wrong = wrong(&Observed::of(form, line));
        assert!(
            wrong.is_empty(),
            "{technique}, seed {seed}: {}\n{}",
            wrong.join("\n"),
            shown(form, line)
        );
    }
}

/// A line and its chords to read.
pub(crate) fn shown(form: &Form, line: &Composed) -> String {
    let mut text = format!("{} {}\n", form.key, form.meter);
    for piece in &line.pieces {
        let chord = piece.span.harmony.as_ref().map(|harmony| harmony.symbol.to_string());
        let chord = chord.unwrap_or_else(|| "N.C.".to_owned());
        text += &format!(
            "{} {chord}: {} ({})\n",
            piece.span.at.quarters(),
            piece.assignment.technique,
            piece.assignment.material
        );
        let notes = line.notes.iter();
        for note in notes.filter(|n| n.at >= piece.span.at && n.at < piece.span.end()) {
            let name = form.key.spell(note.pitch % 12);
            text += &format!("    {} {name}{} {}\n", note.at.quarters(), note.pitch, note.role);
        }
    }
    text
}

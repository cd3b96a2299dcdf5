//! What every bass style promises, on many charts, seeds and meters, and what each is.

mod rules;
mod styles;

use super::*;
use crate::arrange::{Ending, Shape};
use crate::part::BandPlan;
use crate::part::test_timeline::{Case, any_case};
use crate::style::{Library, Shelf, StyleFile};
use crate::units::Meter;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The built-in styles by name.
static STYLES: LazyLock<BTreeMap<String, BassStyle>> = LazyLock::new(|| {
    let library = Library::built_in();
    let read = |file: &StyleFile| (file.name.clone(), BassStyle::read(file).unwrap());
    library.files(Shelf::Bass).map(read).collect()
});

fn style(name: &str) -> &'static BassStyle {
    &STYLES[name]
}

/// The notes of a style in a case.
fn notes(case: &Case, style_name: &str) -> Vec<Note> {
    let timeline = case.timeline();
    let plan = BandPlan::level(&timeline);
    play(PlayContext::new(&timeline, &plan, case.seed), style(style_name)).notes
}

fn full(notes: &[Note]) -> impl DoubleEndedIterator<Item = &Note> {
    notes.iter().filter(|note| note.stroke == Stroke::Full)
}

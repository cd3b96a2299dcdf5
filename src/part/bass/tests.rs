use super::*;
use crate::part::test_timeline::{Wanted, timeline};
use crate::style::{Library, Shelf};

fn style(name: &str) -> BassStyle {
    let library = Library::built_in();
    BassStyle::read(library.find(Shelf::Bass, name).unwrap()).unwrap()
}

#[test]
fn walking_begins_every_new_chord_with_its_root() {
    let chart = "Am7b5 | D7b9 | Gm6 | % | Cm7 F7 | Bbmaj7 | - | Gm6/D";
    let timeline = timeline(chart, &Wanted { choruses: 4, ..Wanted::default() });
    let notes = play(&timeline, &style("walking"), 1).notes;
    for span in chord_spans(&timeline).iter().filter(|span| span.is_new) {
        let first = notes.iter().find(|note| note.at == span.start).unwrap();
        assert!(span.tones.target.contains(first.pitch), "{:?}", span.harmony.symbol);
    }
}

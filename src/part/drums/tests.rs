use super::*;
use crate::arrange::TempoMap;
use crate::chart::FeelName;
use crate::style::{Library, Shelf};
use crate::theory::{Key, Letter, Mode, NoteName};
use crate::units::{Bpm, Meter};

fn timeline(meter: Meter, bars: u32) -> Timeline {
    let tonic = NoteName { letter: Letter::C, alter: 0 };
    let tempo = Bpm::new(120.0).unwrap();
    let bar = |index: u32| TimelineBar {
        start: meter.bar() * i64::from(index),
        meter,
        key: Key { tonic, mode: Mode::Major },
        tempo,
        kind: BarKind::Chorus,
        chorus: 0,
        form_bar: index,
        section: None,
        click: true,
        slots: Vec::new(),
    };
    Timeline {
        bars: (0..bars).map(bar).collect(),
        tempo: TempoMap::constant(tempo.tempo(meter)),
        feel: FeelName::Swing,
        end: meter.bar() * i64::from(bars),
        ending: Ending::None,
        loops: false,
    }
}

fn style(name: &str) -> DrumStyle {
    let library = Library::built_in();
    DrumStyle::read(library.find(Shelf::Drums, name).unwrap()).unwrap()
}

fn times(notes: &PartNotes, key: u8) -> Vec<i64> {
    notes.notes.iter().filter(|note| note.pitch == key).map(|note| note.at.0).collect()
}

/// Sabatella, A Jazz Improvisation Primer: ride on 1, 2 and, 3, 4 and; hi-hat on 2 and 4; kick
/// feathered on all four.
#[test]
fn ride_plays_the_swing_pattern() {
    let notes = play(&timeline(Meter::FourFour, 1), &style("ride"), Intensity::Light, 1);
    assert_eq!(times(&notes, 51), [0, 960, 1440, 1920, 2880, 3360]);
    assert_eq!(times(&notes, 44), [960, 2880]);
    assert_eq!(times(&notes, 36), [0, 960, 1920, 2880]);
}

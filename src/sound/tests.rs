//! Notes through the whole room.

use super::*;
use crate::part::Part;
use crate::units::{Tempo, Ticks, Velocity};

const PIANO: Instrument = Instrument { bank: 0, program: 0 };

fn note(on: i64, off: i64, pitch: u8, velocity: i32) -> PerformedNote {
    let (on, off) = (Ticks(on), Ticks(off));
    PerformedNote { on, off, pitch, velocity: Velocity::clamped(velocity), variant: 0 }
}

#[test]
fn a_note_of_the_embedded_piano_begins_on_its_frame() {
    let sounds = Sounds::new(
        SoundFont::embedded().unwrap(),
        &[PIANO],
        SampleRate::Hz44100,
        StoreBudget::default(),
    )
    .unwrap();
    let part = PerformedPart {
        part: Part::Comp,
        instrument: PIANO,
        notes: vec![note(960, 1_920, 60, 80)],
    };
    let tempo = TempoMap::constant(Tempo(500_001));
    let mut stem = sounds.stem(&part, &tempo, Frames(100)).unwrap();
    let mut left = vec![0.0; 44_100];
    let mut right = vec![0.0; 44_100];
    stem.add_block(&mut left, &mut right).unwrap();
    let onset = left.iter().position(|x| x.abs() > 0.0).unwrap();
    assert!((22_150..22_155).contains(&onset), "{onset}");
    let peak = left.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
    assert!((0.01..0.5).contains(&peak), "{peak}");
}

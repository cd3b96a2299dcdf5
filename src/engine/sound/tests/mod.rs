//! Whole notes and stems, measured.

mod against_oracle;
mod kept;
mod notes;
pub(in crate::sound) mod tiny_font;

use super::*;
use crate::performance::Part;
use crate::units::{Tempo, Ticks, Velocity};

pub(super) const PIANO: Instrument = Instrument { bank: 0, program: 0 };
pub(super) const BASS: Instrument = Instrument { bank: 0, program: 32 };
pub(super) const KIT: Instrument = Instrument { bank: 128, program: 0 };

/// The SoundFont that Countoff carries.
pub(super) fn trio() -> SoundFont {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../soundfonts-free/countoff-trio.sf2");
    SoundFont::open(std::fs::File::open(path).unwrap()).unwrap()
}

pub(super) fn embedded(instruments: &[Instrument]) -> Sounds {
    Sounds::new(trio(), instruments, SampleRate::Hz44100, StoreBudget::default()).unwrap()
}

pub(super) fn note(on: i64, off: i64, pitch: u8, velocity: i32) -> PerformedNote {
    let (on, off) = (Ticks(on), Ticks(off));
    PerformedNote { on, off, pitch, velocity: Velocity::clamped(velocity), variant: 0 }
}

pub(super) fn part(instrument: Instrument, notes: Vec<PerformedNote>) -> PerformedPart {
    PerformedPart { part: Part::Comp, instrument, notes }
}

/// The whole of a stem, left and right.
pub(super) fn rendered(mut stem: StemRenderer, block: usize) -> [Vec<f32>; 2] {
    let mut sides = [Vec::new(), Vec::new()];
    while !stem.is_done() {
        let mut blocks = [vec![0.0; block], vec![0.0; block]];
        let [left, right] = &mut blocks;
        stem.add_block(left, right).unwrap();
        for (side, block) in sides.iter_mut().zip(blocks) {
            side.extend(block);
        }
    }
    sides
}

pub(super) fn peak(samples: &[f32]) -> f32 {
    samples.iter().fold(0.0, |peak, x| x.abs().max(peak))
}

#[test]
fn a_note_of_the_embedded_piano_begins_on_its_frame() {
    let tempo = TempoMap::constant(Tempo(500_001));
    let part = part(PIANO, vec![note(960, 1_920, 60, 80)]);
    let stem = embedded(&[PIANO]).stem(&part, &tempo, Frames(100)).unwrap();
    let [left, _] = rendered(stem, 1_000);
    let onset = left.iter().position(|x| x.abs() > 0.0).unwrap();
    assert!((22_150..22_155).contains(&onset), "{onset}");
}

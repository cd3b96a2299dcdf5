//! The pitches that a note may have.

use super::approach::leads;
use super::steps::Step;
use crate::style::{BassRegister, BassRole};

/// The pitches for a note, low to high; never empty. `next` is the note that an approach leads
/// to.
pub(super) fn candidates(step: &Step, next: Option<&Step>, register: BassRegister) -> Vec<u8> {
    let all = register.lowest..=register.highest;
    let tones = &step.tones;
    let pitches: Vec<u8> = match step.role {
        BassRole::Root => all.filter(|pitch| tones.target.contains(*pitch)).collect(),
        BassRole::Fifth => all.filter(|pitch| tones.fifth.contains(*pitch)).collect(),
        BassRole::Third => all.filter(|pitch| tones.third.contains(*pitch)).collect(),
        BassRole::Chord => all.filter(|pitch| tones.chord.contains(*pitch)).collect(),
        BassRole::Walk | BassRole::Ghost => all.collect(),
        BassRole::Approach => {
            let targets = next.map(|next| candidates(next, None, register)).unwrap_or_default();
            let leads = |pitch: u8| {
                next.is_some_and(|next| targets.iter().any(|to| leads(step, pitch, next, *to)))
            };
            let leading: Vec<u8> = all.filter(|pitch| leads(*pitch)).collect();
            on_chord_if_possible(step, leading)
        }
    };
    // Only a register narrower than an octave could leave a note without a pitch.
    if pitches.is_empty() { vec![register.centre] } else { pitches }
}

/// Where a held chord has one more beat in a new bar and then changes, the note should be a chord
/// tone and lead on; if no note is both, it leads on.
fn on_chord_if_possible(step: &Step, leading: Vec<u8>) -> Vec<u8> {
    let chord_tone = |pitch: &u8| step.tones.chord.contains(*pitch);
    if step.on_chord && leading.iter().any(chord_tone) {
        leading.into_iter().filter(chord_tone).collect()
    } else {
        leading
    }
}

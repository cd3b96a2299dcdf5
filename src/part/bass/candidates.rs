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
            all.filter(|pitch| leads(*pitch)).collect()
        }
    };
    // Only a register narrower than an octave could leave a note without a pitch.
    if pitches.is_empty() { vec![register.centre] } else { pitches }
}

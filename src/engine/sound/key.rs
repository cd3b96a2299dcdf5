//! What a waveform in the store is named by.

use super::strand::Strand;
use crate::performance::Instrument;

/// Names a waveform. Notes that differ only in velocity or length mostly share one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct NoteKey {
    pub(super) instrument: Instrument,
    /// MIDI note number.
    pub(super) key: u8,
    /// Which of the key's strands.
    pub(super) strand: u16,
    /// For timbres that open at a speed that follows the velocity.
    pub(super) velocity: Option<u8>,
    /// For waveforms that change when the key is let go: in which block.
    pub(super) release_block: Option<u32>,
}

/// Velocities that differ by less have the same modulation attack within 6 %.
const VELOCITY_STEP: u8 = 8;

impl NoteKey {
    /// The waveform of a strand for a note.
    pub(super) fn new(
        instrument: Instrument,
        key: u8,
        (number, strand): (u16, &Strand),
        velocity: u8,
        release_block: u32,
    ) -> NoteKey {
        let step = velocity.next_multiple_of(VELOCITY_STEP).min(127);
        NoteKey {
            instrument,
            key,
            strand: number,
            velocity: strand.opens_with_velocity.then_some(step),
            release_block: strand.release.heard(release_block),
        }
    }
}

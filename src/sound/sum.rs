//! The inner loops of a stem: notes times gains, added up.

use std::ops::Range;

use super::choke::Fade;
use super::note::{NoteWave, Sound};
use super::stem::Event;
use super::voice::BLOCK;

/// 0, 1, 2, … to the end of a block: where a gain's line is in each frame.
const RAMP: [f32; BLOCK] = {
    let mut ramp = [0.0; BLOCK];
    let mut frame = 1;
    while frame < BLOCK {
        ramp[frame] = ramp[frame - 1] + 1.0;
        frame += 1;
    }
    ramp
};

/// A gain that moves in a straight line over a block of the note's own.
#[derive(Debug, Clone, Copy)]
struct Line {
    start: f32,
    step: f32,
}

impl Line {
    fn times(self, factor: f32) -> Line {
        Line { start: self.start * factor, step: self.step * factor }
    }
}

/// Adds what the output from frame `from` on hears of a note's waveform. `left` and `right`
/// are of the same length.
pub(super) fn add_wave(
    event: &Event,
    wave: &NoteWave,
    fade: &Fade,
    from: u64,
    left: &mut [f32],
    right: &mut [f32],
) {
    let frames = |count: u64| usize::try_from(count).unwrap_or(usize::MAX);
    // Frames of the note that are over, and frames of the output before its start.
    let skip = frames(from.saturating_sub(event.start));
    let offset = frames(event.start.saturating_sub(from));
    if offset >= left.len() {
        return;
    }
    let choke = event.choke.map(|choke| frames(choke.saturating_sub(event.start)));
    let end = choke.map_or(usize::MAX, |choke| choke + fade.length());
    let end = end.min(wave.sound.len()).min(event.blocks * BLOCK).min(skip + left.len() - offset);
    let mut at = skip;
    let mut before = level(event, wave, (at / BLOCK).saturating_sub(1));
    while at < end {
        let block = at / BLOCK;
        let note = at..end.min((block + 1) * BLOCK);
        let place = note.start - skip + offset..note.end - skip + offset;
        at = note.end;
        let after = level(event, wave, block);
        #[expect(clippy::cast_precision_loss, reason = "64")]
        let line = Line { start: before, step: (after - before) / BLOCK as f32 };
        let line = line.times(event.gain);
        before = after;
        let (left, right) = (&mut left[place.clone()], &mut right[place]);
        match choke.filter(|choke| *choke < note.end) {
            None => add_block(wave, note, line, left, right),
            Some(choke) => {
                let mut faded = [[0.0; BLOCK]; 2];
                let [to_left, to_right] = &mut faded;
                let length = note.len();
                add_block(
                    wave,
                    note.clone(),
                    line,
                    &mut to_left[..length],
                    &mut to_right[..length],
                );
                for (side, faded) in [left, right].into_iter().zip(&faded) {
                    for ((to, from), frame) in side.iter_mut().zip(faded).zip(note.clone()) {
                        *to += from * fade.factor(frame, choke);
                    }
                }
            }
        }
    }
}

/// The envelope's level at the end of one of the note's blocks.
fn level(event: &Event, wave: &NoteWave, block: usize) -> f32 {
    let held = |block: usize| wave.held.get(block).copied().unwrap_or(0.0);
    if block < event.release_block {
        return held(block);
    }
    let from = event.release_block.checked_sub(1).map_or(0.0, held);
    wave.envelope.released(block, event.release_block, from)
}

/// Adds frames `note` of a waveform, all within one block.
fn add_block(wave: &NoteWave, note: Range<usize>, line: Line, left: &mut [f32], right: &mut [f32]) {
    let first = note.start % BLOCK;
    let ramp = &RAMP[first..first + note.len()];
    match &wave.sound {
        Sound::Mono { samples, left: to_left, right: to_right } => {
            let samples = &samples[note];
            for (side, gain) in [(left, *to_left), (right, *to_right)] {
                // One side of a pair of samples is all that there is on the other.
                if gain > 0.0 {
                    add_ramped(side, samples, line.times(gain), ramp);
                }
            }
        }
        Sound::Stereo { left: from_left, right: from_right } => {
            add_ramped(left, &from_left[note.clone()], line, ramp);
            add_ramped(right, &from_right[note], line, ramp);
        }
    }
}

fn add_ramped(to: &mut [f32], from: &[f32], line: Line, ramp: &[f32]) {
    for ((to, from), at) in to.iter_mut().zip(from).zip(ramp) {
        *to += from * (line.start + line.step * at);
    }
}

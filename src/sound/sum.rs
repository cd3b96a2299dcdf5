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
#[inline(always)]
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
    let level = |block| wave.levels.at(block, event.release_block);
    let mut before = level((at / BLOCK).saturating_sub(1));
    while at < end {
        let block = at / BLOCK;
        let note = at..end.min((block + 1) * BLOCK);
        let place = note.start - skip + offset..note.end - skip + offset;
        at = note.end;
        let after = level(block);
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

/// Adds frames `note` of a waveform, all within one block.
#[inline(always)]
fn add_block(wave: &NoteWave, note: Range<usize>, line: Line, left: &mut [f32], right: &mut [f32]) {
    // Most blocks are whole: then the compiler knows how long they are.
    let whole = note.start.is_multiple_of(BLOCK) && note.len() == BLOCK;
    if let (true, Some(left), Some(right)) =
        (whole, left.first_chunk_mut::<BLOCK>(), right.first_chunk_mut::<BLOCK>())
    {
        add_at(wave, note.start..note.start + BLOCK, line, &RAMP, left, right);
    } else {
        let first = note.start % BLOCK;
        let ramp = &RAMP[first..first + note.len()];
        add_at(wave, note, line, ramp, left, right);
    }
}

/// Adds frames `note` of a waveform, whose gain is `line` at the places of `ramp`.
#[inline(always)]
fn add_at(
    wave: &NoteWave,
    note: Range<usize>,
    line: Line,
    ramp: &[f32],
    left: &mut [f32],
    right: &mut [f32],
) {
    match &wave.sound {
        Sound::Mono { samples, left: to_left, right: to_right } => {
            let samples = &samples[note];
            // One side of a pair of samples is all that there is on the other.
            if *to_right <= 0.0 {
                add_side(left, samples, line.times(*to_left), ramp);
            } else if *to_left <= 0.0 {
                add_side(right, samples, line.times(*to_right), ramp);
            } else {
                add_both([left, right], samples, line, [*to_left, *to_right], ramp);
            }
        }
        Sound::Stereo { left: from_left, right: from_right } => {
            add_side(left, &from_left[note.clone()], line, ramp);
            add_side(right, &from_right[note], line, ramp);
        }
    }
}

#[inline(always)]
fn add_side(to: &mut [f32], from: &[f32], line: Line, ramp: &[f32]) {
    for ((to, from), at) in to.iter_mut().zip(from).zip(ramp) {
        *to += from * (line.start + line.step * at);
    }
}

/// Reads the samples once for both sides, each at its gain.
#[inline(always)]
fn add_both(
    [left, right]: [&mut [f32]; 2],
    from: &[f32],
    line: Line,
    gains: [f32; 2],
    ramp: &[f32],
) {
    let sides = left.iter_mut().zip(right);
    for (((left, right), from), at) in sides.zip(from).zip(ramp) {
        let sound = from * (line.start + line.step * at);
        *left += gains[0] * sound;
        *right += gains[1] * sound;
    }
}

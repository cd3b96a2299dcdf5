//! The inner loops of a stem: notes times gains, added up.

use std::ops::Range;

use super::UNHEARD;
use super::block_float::{BlockFloat, Samples};
use super::choke::Fade;
use super::note::{NoteWave, Sound};
use super::stem::Event;
use super::voice::BLOCK;
use crate::units::offset;

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

/// Blocks of a note whose gains are worked out before any is added.
const ROUND: usize = 64;

/// A gain that moves in a straight line over a block of the note's own.
#[derive(Debug, Clone, Copy, Default)]
struct Line {
    start: f32,
    step: f32,
}

impl Line {
    #[inline(always)]
    fn times(self, factor: f32) -> Line {
        Line { start: self.start * factor, step: self.step * factor }
    }

    /// Whether a block with this peak is too soft to be heard at this gain.
    #[inline(always)]
    #[expect(clippy::cast_precision_loss, reason = "64")]
    fn is_unheard(self, peak: f32) -> bool {
        let end = self.start + self.step * BLOCK as f32;
        let most = if end > self.start { end } else { self.start };
        most * peak < UNHEARD
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
    // Frames of the note that are over, and frames of the output before its start.
    let skip = offset(from.saturating_sub(event.start));
    let begins = offset(event.start.saturating_sub(from));
    if begins >= left.len() {
        return;
    }
    let choke = event.choke.map(|choke| offset(choke.saturating_sub(event.start)));
    let end = choke.map_or(usize::MAX, |choke| choke + fade.length());
    let lasts = wave.sound.len().min(event.blocks as usize * BLOCK);
    let end = end.min(lasts).min(skip + left.len() - begins);
    let mut at = skip;
    let mut lines = [Line::default(); ROUND];
    while at < end {
        // Whole blocks up to the one in which the choke begins, then one block at a time.
        let choked = choke.filter(|choke| *choke < (at / BLOCK + 1) * BLOCK);
        let unchoked = choke.map_or(ROUND, |choke| (choke / BLOCK).saturating_sub(at / BLOCK));
        let blocks = if choked.is_some() { 1 } else { unchoked.clamp(1, ROUND) };
        let note = at..end.min((at / BLOCK + blocks) * BLOCK);
        let place = note.start - skip + begins..note.end - skip + begins;
        at = note.end;
        set_lines(&mut lines[..blocks], event, wave, note.start / BLOCK);
        let (left, right) = (&mut left[place.clone()], &mut right[place]);
        match choked {
            None => add_blocks(wave, note, &lines, left, right),
            Some(choke) => {
                let mut faded = [[0.0; BLOCK]; 2];
                let [to_left, to_right] = &mut faded;
                let length = note.len();
                let (to_left, to_right) = (&mut to_left[..length], &mut to_right[..length]);
                add_blocks(wave, note.clone(), &lines, to_left, to_right);
                for (side, faded) in [left, right].into_iter().zip(&faded) {
                    for ((to, from), frame) in side.iter_mut().zip(faded).zip(note.clone()) {
                        *to += from * fade.factor(frame, choke);
                    }
                }
            }
        }
    }
}

/// Sets the gains of a note's blocks from the first on, by its envelope and velocity.
#[inline(always)]
fn set_lines(lines: &mut [Line], event: &Event, wave: &NoteWave, first: usize) {
    let release = event.release_block as usize;
    let level = |block| wave.levels.at(block, release);
    let mut before = level(first.saturating_sub(1));
    for (number, line) in lines.iter_mut().enumerate() {
        let after = level(first + number);
        #[expect(clippy::cast_precision_loss, reason = "64")]
        let step = (after - before) / BLOCK as f32;
        *line = Line { start: before, step }.times(event.gain);
        before = after;
    }
}

/// Adds frames `note` of a waveform, whose gains over its blocks are `lines`.
#[inline(always)]
fn add_blocks(
    wave: &NoteWave,
    note: Range<usize>,
    lines: &[Line; ROUND],
    left: &mut [f32],
    right: &mut [f32],
) {
    match &wave.sound {
        // One side of a pair of samples is all that there is on the other.
        Sound::Mono { samples, left: gain, right: none } if *none <= 0.0 => {
            add_sides(samples, note, lines, [(left, *gain)]);
        }
        Sound::Mono { samples, left: none, right: gain } if *none <= 0.0 => {
            add_sides(samples, note, lines, [(right, *gain)]);
        }
        Sound::Mono { samples, left: to_left, right: to_right } => {
            add_sides(samples, note, lines, [(left, *to_left), (right, *to_right)]);
        }
        Sound::Stereo { left: from_left, right: from_right } => {
            add_sides(from_left, note.clone(), lines, [(left, 1.0)]);
            add_sides(from_right, note, lines, [(right, 1.0)]);
        }
    }
}

/// Reads frames `note` once for all sides, each at its gain.
#[inline(always)]
fn add_sides<const SIDES: usize>(
    from: &BlockFloat,
    note: Range<usize>,
    lines: &[Line; ROUND],
    mut sides: [(&mut [f32], f32); SIDES],
) {
    let first = note.start / BLOCK;
    let (mut at, mut left) = (note.start % BLOCK, note.len());
    for (number, line) in lines.iter().enumerate() {
        let Some((samples, step, peak)) = from.block(first + number).filter(|_| left > 0) else {
            return;
        };
        let length = left.min(BLOCK - at);
        if !line.is_unheard(peak) {
            let (line, frames) = (line.times(step), at..at + length);
            match samples {
                Samples::Loud(samples) => {
                    add_block(&samples[frames.clone()], line, frames, &mut sides)
                }
                Samples::Soft(samples) => {
                    add_block(&samples[frames.clone()], line, frames, &mut sides)
                }
            }
        }
        for (to, _) in &mut sides {
            *to = &mut std::mem::take(to)[length..];
        }
        (at, left) = (0, left - length);
    }
}

/// Adds some frames of a block to all sides.
#[inline(always)]
fn add_block<Sample: Copy + Into<f32>, const SIDES: usize>(
    from: &[Sample],
    line: Line,
    frames: Range<usize>,
    sides: &mut [(&mut [f32], f32); SIDES],
) {
    // Most blocks are whole: then the compiler knows how long they are.
    let whole = from.first_chunk::<BLOCK>();
    for (to, gain) in sides {
        let line = line.times(*gain);
        match (to.first_chunk_mut::<BLOCK>(), whole) {
            (Some(to), Some(from)) => add(to, from, line, &RAMP),
            _ => add(to, from, line, &RAMP[frames.clone()]),
        }
    }
}

#[inline(always)]
fn add<Sample: Copy + Into<f32>>(to: &mut [f32], from: &[Sample], line: Line, ramp: &[f32]) {
    for ((to, from), at) in to.iter_mut().zip(from).zip(ramp) {
        let from: f32 = (*from).into();
        *to += from * (line.start + line.step * at);
    }
}

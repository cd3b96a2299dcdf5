//! The inner loops of a stem: notes times gains, added up.

use std::ops::Range;

use super::choke::Fade;
use super::note::{Layer, Sound};
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

/// Adds what the output from frame `from` on hears of one layer of a note. `left` and `right`
/// are of the same length.
pub(super) fn add_layer(
    event: &Event,
    layer: &Layer,
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
    let end = end.min(layer.sound.len()).min(event.blocks * BLOCK).min(skip + left.len() - offset);
    let mut at = skip;
    while at < end {
        let block = at / BLOCK;
        let note = at..end.min((block + 1) * BLOCK);
        let place = note.start - skip + offset..note.end - skip + offset;
        at = note.end;
        let line = line(event, layer, block);
        match choke.filter(|choke| *choke < note.end) {
            Some(choke) => {
                let factors =
                    std::array::from_fn(|frame| fade.factor(block * BLOCK + frame, choke));
                add_block(layer, note, line, &factors, &mut left[place.clone()], &mut right[place]);
            }
            None => {
                add_block(layer, note, line, &ONES, &mut left[place.clone()], &mut right[place])
            }
        }
    }
}

/// No fade.
const ONES: [f32; BLOCK] = [1.0; BLOCK];

/// The gain over one of the note's blocks: velocity times envelope.
fn line(event: &Event, layer: &Layer, block: usize) -> Line {
    let after = level(event, layer, block);
    let before = block.checked_sub(1).map_or(after, |before| level(event, layer, before));
    #[expect(clippy::cast_precision_loss, reason = "64")]
    let step = (after - before) / BLOCK as f32;
    Line { start: before, step }.times(event.gain)
}

fn level(event: &Event, layer: &Layer, block: usize) -> f32 {
    let held = |block: usize| layer.held.get(block).copied().unwrap_or(0.0);
    if block < event.release_block {
        return held(block);
    }
    let from = event.release_block.checked_sub(1).map_or(0.0, held);
    layer.envelope.released(block, event.release_block, from)
}

/// Adds frames `note` of a layer, all within one block.
fn add_block(
    layer: &Layer,
    note: Range<usize>,
    line: Line,
    fade: &[f32; BLOCK],
    left: &mut [f32],
    right: &mut [f32],
) {
    let first = note.start % BLOCK;
    let in_block = first..first + note.len();
    let (ramp, fade) = (&RAMP[in_block.clone()], &fade[in_block]);
    match &layer.sound {
        Sound::Mono { samples, left: to_left, right: to_right } => {
            let samples = &samples[note];
            add_ramped(left, samples, line.times(*to_left), ramp, fade);
            add_ramped(right, samples, line.times(*to_right), ramp, fade);
        }
        Sound::Stereo { left: from_left, right: from_right } => {
            add_ramped(left, &from_left[note.clone()], line, ramp, fade);
            add_ramped(right, &from_right[note], line, ramp, fade);
        }
    }
}

fn add_ramped(to: &mut [f32], from: &[f32], line: Line, ramp: &[f32], fade: &[f32]) {
    for (((to, from), at), fade) in to.iter_mut().zip(from).zip(ramp).zip(fade) {
        *to += from * ((line.start + line.step * at) * fade);
    }
}

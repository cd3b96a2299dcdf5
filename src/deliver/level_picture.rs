//! How loud a file is over time, small enough to be kept in a list of files.

use crate::simd::{SimdKernel, dispatch, largest};

/// Steps of a picture: one to about half a bar of a track of three minutes.
const STEPS: u64 = 200;
/// The letters of the levels, softest first.
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
/// What the first letter stands for, in dBFS: below it nothing is to be seen.
const SOFTEST: f64 = -48.0;

/// The largest absolute value on any side.
struct Peak<'a>([&'a [f32]; 2]);

impl SimdKernel for Peak<'_> {
    type Output = f32;

    #[inline(always)]
    fn run(self) -> f32 {
        let Peak([left, right]) = self;
        largest(left).max(largest(right))
    }
}

/// Listens to a file block by block.
#[derive(Debug, Clone)]
pub struct LevelPicture {
    frames: u64,
    heard: u64,
    peaks: Vec<f32>,
}

impl LevelPicture {
    /// For a file of this many frames.
    #[must_use]
    pub fn new(frames: u64) -> LevelPicture {
        LevelPicture { frames, heard: 0, peaks: Vec::new() }
    }

    /// Hears the next samples, as many on the left as on the right.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        let (mut left, mut right) = (left, right);
        while !left.is_empty() && !right.is_empty() {
            // The step of a frame is `frame * STEPS / frames`, so that all are equally long.
            let step = self.heard * STEPS / self.frames.max(1);
            let end = ((step + 1) * self.frames).div_ceil(STEPS).max(self.heard + 1);
            let most = left.len().min(right.len());
            let taken = usize::try_from(end - self.heard).map_or(most, |room| room.min(most));
            let peak = dispatch(Peak([&left[..taken], &right[..taken]]));
            match usize::try_from(step).ok().and_then(|step| self.peaks.get_mut(step)) {
                Some(known) => *known = known.max(peak),
                None => self.peaks.push(peak),
            }
            (left, right) = (&left[taken..], &right[taken..]);
            self.heard += taken as u64;
        }
    }

    /// One letter a step: `A` for a peak below -47.2 dBFS, each next letter (`A` to `Z`, `a` to
    /// `z`, `0` to `9`, `-`, `_`) for 0.76 dB more.
    #[must_use]
    pub fn letters(&self) -> String {
        self.peaks.iter().map(|peak| char::from(letter(*peak))).collect()
    }
}

fn letter(peak: f32) -> u8 {
    let level = 20.0 * f64::from(peak).log10();
    let reached = |step: u8| level >= SOFTEST * (1.0 - f64::from(step) / 63.0);
    let steps = (1..=63_u8).take_while(|step| reached(*step)).count();
    LETTERS[steps.min(LETTERS.len() - 1)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_shows_where_it_is_loud_however_the_blocks_fall() {
        let mut samples = vec![0.0_f32; 10_000];
        samples[5_000..6_000].fill(-1.0);
        samples[9_999] = 0.5;
        let mut whole = LevelPicture::new(10_000);
        whole.add(&samples, &samples);
        let mut pieces = LevelPicture::new(10_000);
        for piece in samples.chunks(77) {
            pieces.add(piece, &vec![0.0; piece.len()]);
        }
        let letters = whole.letters();
        assert_eq!(letters, pieces.letters());
        assert_eq!(letters.len(), 200);
        assert_eq!(&letters[..100], "A".repeat(100));
        assert_eq!(&letters[100..120], "_".repeat(20));
        // Half of full scale is -6.02 dBFS: 41.98 dB above the softest, 55.1 steps of 48/63 dB.
        assert_eq!(letters.as_bytes()[199], LETTERS[55]);
    }

    #[test]
    fn a_file_shorter_than_the_picture_has_a_letter_for_each_frame() {
        let mut picture = LevelPicture::new(3);
        picture.add(&[1.0, 0.0, 1.0], &[0.0; 3]);
        assert_eq!(picture.letters(), "_A_");
    }
}

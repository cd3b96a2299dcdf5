//! Delays that move whole runs of frames.

use super::HALF;

/// A line of the network: a delay of a fixed number of frames, worked on in whole runs. The oldest run
/// lies where the newest will be written, always in one piece: after its end the ring goes on with
/// a copy of its beginning.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// After one frame that is not of the ring, so that there is always one before the oldest run.
    ring: Vec<f32>,
    at: usize,
    /// The last frame that came out.
    last: f32,
}

impl Line {
    /// A silent line of at least a run.
    pub(super) fn new(length: usize) -> Line {
        Line { ring: vec![0.0; 1 + length.max(HALF) + HALF], at: 0, last: 0.0 }
    }

    /// In frames.
    pub(super) fn length(&self) -> usize {
        self.ring.len() - HALF - 1
    }

    /// Puts the last frame that came out before the oldest run, where the newest frame is.
    #[inline(always)]
    pub(super) fn lay_out(&mut self) {
        std::mem::swap(&mut self.ring[self.at], &mut self.last);
    }

    /// The oldest run after the frame that came out before it, once they are laid out.
    #[inline(always)]
    pub(super) fn laid_out(&self) -> &[f32; HALF + 1] {
        self.ring[self.at..].first_chunk().unwrap_or(&[0.0; HALF + 1])
    }

    /// Puts the newest frame back into its place.
    #[inline(always)]
    pub(super) fn put_back(&mut self) {
        self.ring[self.at] = std::mem::replace(&mut self.last, self.ring[self.at + HALF]);
    }

    /// The oldest run; the newest is to be put in its place.
    #[inline(always)]
    pub(super) fn run(&mut self) -> &mut [f32] {
        &mut self.ring[self.at + 1..][..HALF]
    }

    /// Goes on by a run, once it has been put there.
    #[inline(always)]
    pub(super) fn go_on(&mut self) {
        let (length, end) = (self.length(), self.at + HALF);
        let ring = &mut self.ring[1..];
        if self.at < HALF {
            ring.copy_within(self.at..end.min(HALF), length + self.at);
        }
        if end > length {
            ring.copy_within(length..end, 0);
        }
        self.at = end % length;
    }

    pub(super) fn clear(&mut self) {
        self.ring.fill(0.0);
        self.last = 0.0;
    }
}

/// A delay of a fixed number of frames: the ring is as long as the delay, so the oldest sample
/// lies where the newest will be written.
#[derive(Debug, Clone)]
pub(super) struct Delay {
    ring: Vec<f32>,
    at: usize,
}

impl Delay {
    /// A silent delay of at least one frame.
    pub(super) fn new(length: usize) -> Delay {
        Delay { ring: vec![0.0; length.max(1)], at: 0 }
    }

    /// Delays a run of any length in place.
    #[inline(always)]
    pub(super) fn process(&mut self, run: &mut [f32]) {
        self.each(run, <[f32]>::swap_with_slice);
    }

    /// Pairs of what comes and of what is kept, as long as both lie in one piece.
    #[inline(always)]
    fn each(&mut self, run: &mut [f32], mut work: impl FnMut(&mut [f32], &mut [f32])) {
        let mut rest = run;
        while !rest.is_empty() {
            let (now, later) = rest.split_at_mut(rest.len().min(self.ring.len() - self.at));
            work(now, &mut self.ring[self.at..self.at + now.len()]);
            self.at = (self.at + now.len()) % self.ring.len();
            rest = later;
        }
    }

    pub(super) fn clear(&mut self) {
        self.ring.fill(0.0);
    }
}

/// Schroeder's all-pass (1962): spreads a signal in time and leaves its spectrum alone.
#[derive(Debug, Clone)]
pub(super) struct Allpass {
    delay: Delay,
    feedback: f32,
}

impl Allpass {
    pub(super) fn new(delay: Delay, feedback: f32) -> Allpass {
        Allpass { delay, feedback }
    }

    /// Works on a run of any length in place.
    #[inline(always)]
    pub(super) fn process(&mut self, run: &mut [f32]) {
        let feedback = self.feedback;
        self.delay.each(run, |run, kept| {
            for (x, kept) in run.iter_mut().zip(kept) {
                let output = *kept - feedback * *x;
                *kept = *x + feedback * output;
                *x = output;
            }
        });
    }

    pub(super) fn clear(&mut self) {
        self.delay.clear();
    }
}

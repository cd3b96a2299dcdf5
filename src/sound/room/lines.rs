//! Delays that move whole runs of frames.

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

    /// In frames.
    pub(super) fn length(&self) -> usize {
        self.ring.len()
    }

    /// Reads the oldest samples. `run` is not longer than the delay.
    #[inline(always)]
    pub(super) fn peek(&self, run: &mut [f32]) {
        let (before, after) = run.split_at_mut(run.len().min(self.ring.len() - self.at));
        before.copy_from_slice(&self.ring[self.at..self.at + before.len()]);
        after.copy_from_slice(&self.ring[..after.len()]);
    }

    /// Puts the newest samples where the oldest were. `run` is not longer than the delay.
    #[inline(always)]
    pub(super) fn push(&mut self, run: &[f32]) {
        let (before, after) = run.split_at(run.len().min(self.ring.len() - self.at));
        self.ring[self.at..self.at + before.len()].copy_from_slice(before);
        self.ring[..after.len()].copy_from_slice(after);
        self.at = (self.at + run.len()) % self.ring.len();
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

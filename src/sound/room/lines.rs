//! Delay lines that move whole runs of frames.

/// A delay of a fixed number of frames: the ring is as long as the delay, so the oldest sample
/// lies where the newest will be written.
#[derive(Debug, Clone)]
pub(super) struct Delay {
    ring: Vec<f32>,
    at: usize,
}

impl Delay {
    pub(super) fn new(length: usize) -> Delay {
        Delay { ring: vec![0.0; length], at: 0 }
    }

    /// In frames.
    pub(super) fn length(&self) -> usize {
        self.ring.len()
    }

    /// Reads the oldest samples. `run` is not longer than the delay.
    pub(super) fn peek(&self, run: &mut [f32]) {
        let to_wrap = run.len().min(self.ring.len() - self.at);
        let (before, after) = run.split_at_mut(to_wrap);
        before.copy_from_slice(&self.ring[self.at..self.at + before.len()]);
        after.copy_from_slice(&self.ring[..after.len()]);
    }

    /// Puts the newest samples where the oldest were.
    pub(super) fn push(&mut self, run: &[f32]) {
        let (before, after) = run.split_at(run.len().min(self.ring.len() - self.at));
        self.ring[self.at..self.at + before.len()].copy_from_slice(before);
        self.ring[..after.len()].copy_from_slice(after);
        self.at = (self.at + run.len()) % self.ring.len();
    }

    /// Reads the oldest and puts the newest in their place.
    pub(super) fn exchange(&mut self, newest: &[f32], oldest: &mut [f32]) {
        self.peek(oldest);
        self.push(newest);
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

    /// Works on a run in place; `spare` is overwritten.
    pub(super) fn process(&mut self, run: &mut [f32], spare: &mut [f32; super::RUN]) {
        let delayed = &mut spare[..run.len()];
        self.delay.peek(delayed);
        for (x, delayed) in run.iter_mut().zip(delayed.iter_mut()) {
            let output = *delayed - self.feedback * *x;
            *delayed = *x + self.feedback * output;
            *x = output;
        }
        self.delay.push(delayed);
    }

    pub(super) fn clear(&mut self) {
        self.delay.clear();
    }
}

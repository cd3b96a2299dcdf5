//! Bars that come again.

use crate::compose::cost::{BAR_AGAIN, BAR_THRICE};

/// The bars of all paths, each linked to the one before it.
#[derive(Debug, Default)]
pub(super) struct Bars(Vec<Bar>);

#[derive(Debug)]
struct Bar {
    before: Option<usize>,
    pitches: Vec<u8>,
}

impl Bars {
    /// Adds a bar to a path's bars, and says what it costs if it was heard before. Bars of one or
    /// no note are nothing to remember.
    pub(super) fn add(&mut self, bars: &mut Option<usize>, pitches: Vec<u8>) -> f64 {
        if pitches.len() < 2 {
            return 0.0;
        }
        let mut heard = 0;
        let mut at = *bars;
        while let Some(bar) = at.and_then(|at| self.0.get(at)) {
            heard += usize::from(bar.pitches == pitches);
            at = bar.before;
        }
        self.0.push(Bar { before: *bars, pitches });
        *bars = Some(self.0.len() - 1);
        match heard {
            0 => 0.0,
            1 | 2 => BAR_AGAIN,
            _ => BAR_THRICE,
        }
    }
}

//! The loudness of a programme and of the whole that it is a part of, at the price of little more
//! than one.

use super::loudness::{Loudness, LoudnessMeter, integrated};
use crate::units::SampleRate;

/// Measures a programme, and the programme with something added to it now and then, such as a
/// count-in: while nothing is added they are alike, and one meter does for both.
#[derive(Debug, Clone)]
pub(in crate::mix) struct PartAndWhole {
    programme: LoudnessMeter,
    /// While they differ: a hop before that began, and the whole since that hop.
    whole: Option<(usize, LoudnessMeter)>,
    /// Where they differed before.
    different: Vec<(usize, Vec<f64>)>,
}

impl PartAndWhole {
    /// Nothing heard yet. `known` are the mean squares of the programme's hops, where it was measured
    /// before.
    pub(in crate::mix) fn new(rate: SampleRate, known: Vec<f64>) -> PartAndWhole {
        let programme = LoudnessMeter::knowing(rate, known);
        PartAndWhole { programme, whole: None, different: Vec::new() }
    }

    /// Hears frames of the programme with nothing added. Before the first of them the two must
    /// have been alike for half a second: no hop is weighted with anything in mind that is older than
    /// two hops. They may be `known`: as they were when the programme was measured before.
    pub(in crate::mix) fn add_alike(&mut self, programme: [&[f32]; 2], known: bool) {
        if let Some((from, whole)) = self.whole.take() {
            self.different.push((from, whole.hops()));
        }
        self.programme.hear(programme[0], programme[1], known);
    }

    /// Hears frames of the programme, and of the whole.
    pub(in crate::mix) fn add_apart(
        &mut self,
        programme: [&[f32]; 2],
        whole: [&[f32]; 2],
        known: bool,
    ) {
        let base = &self.programme;
        let (_, meter) = self.whole.get_or_insert_with(|| base.fork());
        meter.add(whole[0], whole[1]);
        self.programme.hear(programme[0], programme[1], known);
    }

    /// Integrated loudness of the programme, and of the whole.
    pub(in crate::mix) fn integrated(mut self) -> (Loudness, Loudness) {
        self.add_alike([&[], &[]], false);
        let mut hops = self.programme.hops();
        let programme = integrated(&hops);
        for (from, different) in &self.different {
            for (hop, different) in hops.iter_mut().skip(*from).zip(different) {
                *hop = *different;
            }
        }
        (programme, integrated(&hops))
    }
}

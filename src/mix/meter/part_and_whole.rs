//! The loudness of a programme and of the whole that it is a part of, at the price of little more
//! than one.

use super::loudness::{Loudness, LoudnessMeter};

/// Measures a programme, and the programme with something added to it now and then, such as a
/// count-in: while nothing is added they are alike, and one meter does for both.
#[derive(Debug, Clone)]
pub(in crate::mix) struct PartAndWhole {
    programme: LoudnessMeter,
    /// While they differ: the hop in which that began, and the whole since then.
    whole: Option<(usize, LoudnessMeter)>,
    /// Where they differed before.
    different: Vec<(usize, Vec<f64>)>,
}

impl PartAndWhole {
    pub(in crate::mix) fn new(meter: LoudnessMeter) -> PartAndWhole {
        PartAndWhole { programme: meter, whole: None, different: Vec::new() }
    }

    /// Hears frames of the programme with nothing added. Before the first of them the two must
    /// have been alike for half a second: the weighting filter's memory of the difference is then
    /// below 1e-50.
    pub(in crate::mix) fn add_alike(&mut self, left: &[f32], right: &[f32]) {
        if let Some((from, whole)) = self.whole.take() {
            self.different.push((from, whole.hops().to_vec()));
        }
        self.programme.add(left, right);
    }

    /// Hears frames of the programme, and of the whole.
    pub(in crate::mix) fn add_apart(&mut self, programme: [&[f32]; 2], whole: [&[f32]; 2]) {
        let base = &self.programme;
        let (_, meter) = self.whole.get_or_insert_with(|| (base.hops().len(), base.fork()));
        meter.add(whole[0], whole[1]);
        self.programme.add(programme[0], programme[1]);
    }

    /// Integrated loudness of the programme, and of the whole.
    pub(in crate::mix) fn integrated(mut self) -> (Loudness, Loudness) {
        self.add_alike(&[], &[]);
        let programme = self.programme.integrated();
        if self.different.is_empty() {
            return (programme, programme);
        }
        for (from, hops) in &self.different {
            self.programme.overwrite(*from, hops);
        }
        (programme, self.programme.integrated())
    }
}

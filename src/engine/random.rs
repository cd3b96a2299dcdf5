//! Named random streams: every choice draws from a stream named after what is chosen, so that
//! threads, order and unrelated edits never change a note.

use rand::Rng;
use rand_pcg::Pcg64Mcg;
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

/// The seed of every random choice: another seed, another performance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Seed(#[schemars(with = "i64", range(min = 0))] pub u64);

impl Seed {
    /// The seed of one of several things that a seed gives, counted from 0.
    #[must_use]
    pub fn of_number(self, number: u64) -> Seed {
        Seed(self.0.saturating_add(number).min(i64::MAX.unsigned_abs()))
    }
}

impl Default for Seed {
    fn default() -> Seed {
        Seed(1)
    }
}

impl<'de> Deserialize<'de> for Seed {
    /// TOML's whole numbers end at `i64::MAX`.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Seed, D::Error> {
        let number = i64::deserialize(deserializer)?;
        let below = || serde::de::Error::custom(format_args!("a seed of {number} is below 0"));
        u64::try_from(number).map(Seed).map_err(|_| below())
    }
}

/// One named stream of random numbers. The same seed and names give the same numbers on every
/// machine and in every version of this type's generator (PCG XSL 128/64 MCG).
#[derive(Debug, Clone)]
pub struct Stream(Pcg64Mcg);

impl Stream {
    /// The stream of a seed and a path of names, such as `["comp", "chorus 2", "bar 5"]`.
    #[must_use]
    pub fn named(seed: u64, names: &[&dyn std::fmt::Display]) -> Stream {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&seed.to_le_bytes());
        for name in names {
            let name = name.to_string();
            hasher.update(&(name.len() as u64).to_le_bytes());
            hasher.update(name.as_bytes());
        }
        let mut state = [0; 16];
        state.copy_from_slice(&hasher.finalize().as_bytes()[..16]);
        Stream(Pcg64Mcg::new(u128::from_le_bytes(state)))
    }

    /// A number from 0 up to, not including, 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit exactly")]
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from 0 up to, not including, `bound`; 0 where `bound` is 0.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "the product is below `bound`"
    )]
    pub fn below(&mut self, bound: usize) -> usize {
        ((self.unit() * bound as f64) as usize).min(bound.saturating_sub(1))
    }

    /// True with the given probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// A normally distributed number with mean 0 and standard deviation 1 (sum of twelve
    /// uniform numbers: bounded at 6, and made of arithmetic that is the same everywhere).
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// An index drawn by weight; `None` where no weight is above 0.
    pub fn weighted(&mut self, weights: &[f64]) -> Option<usize> {
        let total: f64 = weights.iter().filter(|weight| **weight > 0.0).sum();
        let mut left = self.unit() * total;
        let mut last = None;
        for (index, weight) in weights.iter().enumerate().filter(|(_, weight)| **weight > 0.0) {
            last = Some(index);
            if left < *weight {
                break;
            }
            left -= weight;
        }
        last
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_do_not_run_together() {
        let first = Stream::named(7, &[&"comp", &12]).unit();
        let second = Stream::named(7, &[&"comp1", &2]).unit();
        assert!((first - second).abs() > 0.0);
    }

    #[test]
    fn weights_of_nothing_choose_nothing() {
        assert_eq!(Stream::named(1, &[]).weighted(&[0.0, -1.0]), None);
        assert_eq!(Stream::named(1, &[]).weighted(&[0.0, 1.0]), Some(1));
    }

    #[test]
    fn the_stream_is_the_same_for_ever() {
        let mut stream = Stream::named(7, &[&"comp", &"bar 5"]);
        let drawn: Vec<usize> = (0..6).map(|_| stream.below(1000)).collect();
        insta::assert_debug_snapshot!(drawn);
    }
}

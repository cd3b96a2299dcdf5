//! Random numbers that are the same everywhere: PCG-XSH-RR 64/32 (O'Neill 2014)
//! from `rand_pcg`.

use super::maths::{TURN, cos, ln, sin};
use rand::Rng;
use rand_pcg::Lcg64Xsh32;

/// A stream of random numbers, named by its seed.
#[derive(Clone, Debug)]
pub struct Noise {
    generator: Lcg64Xsh32,
    /// The second number of the pair that the last Gaussian draw made.
    spare: Option<f64>,
}

impl Noise {
    /// The stream with this seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        // The golden-ratio multiplier spreads neighbouring seeds apart
        // (Knuth, TAOCP 3, multiplicative hashing).
        let state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        Self { generator: Lcg64Xsh32::new(state, seed ^ 0x2545_f491), spare: None }
    }

    /// Evenly distributed over 0 (included) to 1 (not included).
    pub fn uniform(&mut self) -> f64 {
        f64::from(self.generator.next_u32()) / 4_294_967_296.0
    }

    /// Normally distributed, mean 0, standard deviation 1 (Box & Muller 1958).
    pub fn gaussian(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = (-2.0 * ln(1.0 - self.uniform())).sqrt();
        let angle = TURN * self.uniform();
        self.spare = Some(radius * sin(angle));
        radius * cos(angle)
    }

    /// White noise of standard deviation 1.
    pub fn white(&mut self, length: usize) -> Vec<f64> {
        (0..length).map(|_| self.gaussian()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_noise_has_no_mean_and_unit_power() {
        let x = Noise::new(1).white(20_000);
        let mean = x.iter().sum::<f64>() / 20_000.0;
        let power = x.iter().map(|v| v * v).sum::<f64>() / 20_000.0;
        // Four standard errors.
        assert!(mean.abs() < 4.0 / 20_000_f64.sqrt());
        assert!((power - 1.0).abs() < 4.0 * (2.0 / 20_000_f64).sqrt());
    }

    #[test]
    fn seeds_are_streams_of_their_own() {
        assert_eq!(Noise::new(7).white(4), Noise::new(7).white(4));
        assert_ne!(Noise::new(7).white(4), Noise::new(8).white(4));
    }
}

//! The modes of a cymbal, taken as a thin round plate: far above its lowest resonances a plate has
//! the same number of modes in every hertz, whatever its shape (Cremer & Heckl, Structure-Borne
//! Sound; Fletcher & Rossing, The Physics of Musical Instruments, ch. 20).

use crate::dsp::noise::Noise;

/// Speed of longitudinal waves in a plate of bell bronze (80 % copper, 20 % tin), m/s: Young's
/// modulus 110 GPa, density 8600 kg/m³, Poisson's ratio 0.34 (material tables, from memory).
const BRONZE_LONGITUDINAL_SPEED: f64 = 3800.0;

/// The lowest mode that is followed, Hz. A cymbal on its stand has a few below; they are not heard.
const LOWEST_MODE: f64 = 60.0;

/// The highest mode that is followed, Hz.
const HIGHEST_MODE: f64 = 17_000.0;

/// A hammered bronze plate.
#[derive(Clone, Copy, Debug)]
pub struct Plate {
    /// Area of bronze that sounds, m² (both cymbals of a hi-hat).
    pub area: f64,
    /// Mean thickness, m.
    pub thickness: f64,
    /// Relative distance (standard deviation) between the two modes of a pair: a round plate has each
    /// mode twice, turned against itself; hammering pulls the two apart.
    pub split: f64,
    /// Names this one cymbal: the same seed gives the same frequencies for every stroke.
    pub seed: u64,
}

impl Plate {
    /// Modes in one hertz.
    #[must_use]
    pub fn modes_per_hertz(&self) -> f64 {
        3.0_f64.sqrt() * self.area / (self.thickness * BRONZE_LONGITUDINAL_SPEED)
    }

    /// All modes, by rising frequency, each pair side by side.
    #[must_use]
    pub fn modes(&self) -> Vec<PlateMode> {
        let mut noise = Noise::new(self.seed);
        let mean_step = 2.0 / self.modes_per_hertz();
        let mut modes = Vec::new();
        let mut centre = LOWEST_MODE;
        while centre < HIGHEST_MODE {
            let half_split = 0.5 * self.split * centre * noise.gaussian().abs();
            for hertz in [centre - half_split, centre + half_split] {
                modes.push(PlateMode {
                    hertz,
                    strength: noise.gaussian(),
                    damping: noise.gaussian(),
                    lateness: noise.gaussian(),
                });
            }
            // Modes repel each other: steps between a quarter and seven quarters of the mean.
            centre += mean_step * (0.25 + 1.5 * noise.uniform());
        }
        modes
    }
}

/// One mode of a plate and how far it is from its neighbours' mean, in standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateMode {
    /// Frequency, Hz.
    pub hertz: f64,
    /// How strongly a stroke at the usual place excites it.
    pub strength: f64,
    /// How long it rings.
    pub damping: f64,
    /// How late its energy arrives.
    pub lateness: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_modes_are_as_dense_as_theory_says() {
        let plate = Plate { area: 0.2, thickness: 1.0e-3, split: 0.001, seed: 1 };
        let count = f64::from(u32::try_from(plate.modes().len()).unwrap());
        let expected = plate.modes_per_hertz() * (HIGHEST_MODE - LOWEST_MODE);
        assert!((count / expected - 1.0).abs() < 0.05, "{count} for {expected}");
    }
}

//! Stretched octaves: a tuner sets each octave so that the second partial of
//! the lower note agrees with the first of the upper, and stiff strings have
//! sharp second partials (Railsback 1938).

use super::design::inharmonicity;
use crate::dsp::maths::log2;

/// Share of the full stretch that is used: the tenor and bass players of the
/// trio are in equal temperament, and samplers of grands use about half.
const SHARE: f64 = 0.5;

/// Cents that a key is tuned above (or below) equal temperament; A4 is in tune.
#[must_use]
pub fn stretch(key: u8) -> f64 {
    let a4 = 69;
    let step = |lower: u8| octave_stretch(lower) / 12.0;
    let full: f64 = if key >= a4 {
        (a4..key).map(|k| step(k - 6)).sum()
    } else {
        -(key..a4).map(step).sum::<f64>()
    };
    SHARE * full
}

/// Cents by which the second partial of a key is wider than an octave.
fn octave_stretch(key: u8) -> f64 {
    let b = inharmonicity(f64::from(key));
    600.0 * log2((1.0 + 4.0 * b) / (1.0 + b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Railsback's curve: flat in the bass, sharp in the treble, never falling,
    /// at most 60 cents in all before the share.
    #[test]
    fn the_stretch_is_railsbacks() {
        assert!(stretch(69).abs() < 1e-12);
        assert!((21..108).all(|key| stretch(key) <= stretch(key + 1)));
        let all = (stretch(108) - stretch(21)) / SHARE;
        assert!((20.0..=60.0).contains(&all), "{all}");
    }
}

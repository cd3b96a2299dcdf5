//! The K weighting of ITU-R BS.1770: a high shelf for the head, then a high pass.

use crate::units::SampleRate;

/// The coefficients of a second-order section, normalised so that a0 is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Biquad {
    /// Weights of the input, newest first.
    pub(super) b: [f64; 3],
    /// Weights of the output one and two frames ago.
    pub(super) a: [f64; 2],
}

/// The two sections for a rate.
///
/// BS.1770 prints coefficients for 48 kHz only. The analogue prototypes behind them (shelf at
/// 1,681.97 Hz of +3.99984 dB, high pass at 38.135 Hz) are those of Brecht De Man, "Evaluation
/// of implementations of the EBU R128 loudness measurement" (AES 145, 2018), from memory;
/// redesigned at 48 kHz they give the printed table to 1e-6, which a test checks.
pub(super) fn sections(rate: SampleRate) -> [Biquad; 2] {
    [high_shelf(rate), high_pass(rate)]
}

fn high_shelf(rate: SampleRate) -> Biquad {
    let (frequency, quality) = (1_681.974_450_955_533, 0.707_175_236_955_419_6);
    let high = 10_f64.powf(3.999_843_853_973_347 / 20.0);
    let band = high.powf(0.499_666_774_154_541_6);
    let warped = (std::f64::consts::PI * frequency / f64::from(rate.hz())).tan();
    let (damping, square) = (warped / quality, warped * warped);
    let scale = 1.0 / (1.0 + damping + square);
    Biquad {
        b: [
            (high + band * damping + square) * scale,
            2.0 * (square - high) * scale,
            (high - band * damping + square) * scale,
        ],
        a: [2.0 * (square - 1.0) * scale, (1.0 - damping + square) * scale],
    }
}

fn high_pass(rate: SampleRate) -> Biquad {
    let (frequency, quality) = (38.135_470_876_024_44, 0.500_327_037_323_877_3);
    let warped = (std::f64::consts::PI * frequency / f64::from(rate.hz())).tan();
    let (damping, square) = (warped / quality, warped * warped);
    let scale = 1.0 / (1.0 + damping + square);
    // The standard leaves the numerator unscaled: that is part of its calibration.
    Biquad {
        b: [1.0, -2.0, 1.0],
        a: [2.0 * (square - 1.0) * scale, (1.0 - damping + square) * scale],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `tests/facts/standards.tsv`, rows "BS.1770 K filter 48 kHz" (ITU-R BS.1770 Annex 1,
    /// tables 1 and 2), tolerance 1e-6.
    #[test]
    fn the_redesign_gives_the_printed_coefficients_at_48_khz() {
        let [shelf, pass] = sections(SampleRate::Hz48000);
        let printed = [
            (shelf.b[0], 1.535_124_859_586_97),
            (shelf.b[1], -2.691_696_189_406_38),
            (shelf.b[2], 1.198_392_810_852_85),
            (shelf.a[0], -1.690_659_293_182_41),
            (shelf.a[1], 0.732_480_774_215_85),
            (pass.b[0], 1.0),
            (pass.b[1], -2.0),
            (pass.b[2], 1.0),
            (pass.a[0], -1.990_047_454_833_98),
            (pass.a[1], 0.990_072_250_366_21),
        ];
        for (computed, table) in printed {
            assert!((computed - table).abs() < 1e-6, "{computed} against {table}");
        }
    }
}

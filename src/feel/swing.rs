//! How uneven eighth notes are, and how late a soloist plays, by tempo.
//!
//! From 114 quarters a minute the figures are measured: medians of over a thousand performances
//! in the Jazz Trio Database (Cheston, Schlichting, Cross & Harrison 2024, TISMIR,
//! doi 10.5334/tismir.186), `tests/facts/swing.tsv`, table E. Below them there are none; there
//! the ratios go linearly to the triplet's 2.0 at 80, where jazz of 80 quarters a minute and
//! less has a median of 2.0 (same file, table C), and stay.

/// A tempo with the figures that hold there; between two tempos they are interpolated, beyond
/// the ends they stay.
struct Knot {
    /// Quarter notes a minute.
    quarters_per_minute: f64,
    /// First eighth to second: ride cymbal and bass.
    rhythm_section: f64,
    /// First eighth to second: lines and comping.
    soloist: f64,
    /// How far behind the ride a soloist's downbeats fall, in milliseconds.
    delay_ms: f64,
}

const fn knot(quarters_per_minute: f64, rhythm_section: f64, soloist: f64, delay_ms: f64) -> Knot {
    Knot { quarters_per_minute, rhythm_section, soloist, delay_ms }
}

/// The first row is ours: its ratios as said above, its delay so that a soloist who meets the
/// ride's off-beats stays near the triplet.
const KNOTS: [Knot; 11] = [
    knot(80.0, 2.00, 2.00, 20.0),
    knot(114.0, 2.35, 1.67, 27.0),
    knot(130.0, 2.32, 1.65, 27.0),
    knot(150.0, 2.28, 1.48, 24.0),
    knot(171.0, 2.05, 1.33, 22.0),
    knot(190.0, 1.98, 1.28, 22.0),
    knot(210.0, 1.73, 1.22, 15.0),
    knot(229.0, 1.58, 1.17, 12.0),
    knot(250.0, 1.39, 1.14, 11.0),
    knot(269.0, 1.31, 1.09, 10.0),
    knot(289.0, 1.21, 1.00, 10.0),
];

/// The ratio of the first eighth to the second of ride cymbal and bass at a tempo in quarter
/// notes a minute.
#[must_use]
pub fn rhythm_section_ratio(quarters_per_minute: f64) -> f64 {
    interpolate(quarters_per_minute, |knot| knot.rhythm_section)
}

/// The ratio of the first eighth to the second of lines and comping, where neither bass nor
/// drums play, at a tempo in quarter notes a minute.
#[must_use]
pub fn soloist_ratio(quarters_per_minute: f64) -> f64 {
    interpolate(quarters_per_minute, |knot| knot.soloist)
}

/// How far behind the ride a soloist's downbeats fall, in milliseconds, at a tempo in quarter
/// notes a minute.
#[must_use]
pub fn soloist_delay_ms(quarters_per_minute: f64) -> f64 {
    interpolate(quarters_per_minute, |knot| knot.delay_ms)
}

fn interpolate(quarters_per_minute: f64, figure: impl Fn(&Knot) -> f64) -> f64 {
    let after = KNOTS.partition_point(|knot| knot.quarters_per_minute <= quarters_per_minute);
    let Some(before) = after.checked_sub(1) else { return figure(&KNOTS[0]) };
    let from = &KNOTS[before];
    let Some(to) = KNOTS.get(after) else { return figure(from) };
    let span = to.quarters_per_minute - from.quarters_per_minute;
    let share = (quarters_per_minute - from.quarters_per_minute) / span;
    figure(from) + share * (figure(to) - figure(from))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn below_eighty_it_is_the_triplet() {
        for tempo in [20.0, 60.0, 80.0] {
            assert!((rhythm_section_ratio(tempo) - 2.0).abs() < 1e-12);
            assert!((soloist_ratio(tempo) - 2.0).abs() < 1e-12);
        }
    }

    #[test]
    fn between_knots_it_is_linear_and_beyond_the_last_it_stays() {
        assert!((rhythm_section_ratio(97.0) - 2.175).abs() < 1e-12);
        assert!((soloist_ratio(279.0) - 1.045).abs() < 1e-12);
        assert!((rhythm_section_ratio(400.0) - 1.21).abs() < 1e-12);
    }
}

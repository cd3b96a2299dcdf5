//! Flags. Their origin is the left side of the stem at its end.

use super::outline::{Outline, Point};
use super::pen::{all, curves};

/// One flag that hangs from the end of a stem.
fn hanging(y: f64, drop: f64) -> Outline {
    curves(
        (0.0, y),
        &[
            [(0.06, y - 0.46 * drop), (0.36, y - 0.84 * drop), (0.62, y - 1.22 * drop)],
            [(0.98, y - 1.74 * drop), (1.10, y - 2.34 * drop), (0.80, y - 3.02 * drop)],
            [(0.76, y - 3.12 * drop), (0.66, y - 3.08 * drop), (0.70, y - 2.98 * drop)],
            [(0.92, y - 2.32 * drop), (0.66, y - 1.78 * drop), (0.36, y - 1.40 * drop)],
            [(0.22, y - 1.22 * drop), (0.10, y - 1.08 * drop), (0.0, y - 1.02 * drop)],
        ],
    )
}

/// One flag that stands on the end of a stem that goes down: flatter than its counterpart.
fn standing(y: f64, rise: f64) -> Outline {
    let hanging = hanging(0.0, rise);
    hanging.mapped(|point| Point::new(point.x * 1.02, y - point.y * 0.96))
}

pub(super) fn eighth_up() -> Outline {
    hanging(0.0, 1.0)
}

pub(super) fn eighth_down() -> Outline {
    standing(0.0, 1.0)
}

pub(super) fn sixteenth_up() -> Outline {
    all([hanging(0.0, 0.72), hanging(-0.78, 0.80)])
}

pub(super) fn sixteenth_down() -> Outline {
    all([standing(0.0, 0.72), standing(0.78, 0.80)])
}

pub(super) fn thirty_second_up() -> Outline {
    all([hanging(0.0, 0.66), hanging(-0.75, 0.66), hanging(-1.5, 0.74)])
}

pub(super) fn thirty_second_down() -> Outline {
    all([standing(0.0, 0.66), standing(0.75, 0.66), standing(1.5, 0.74)])
}

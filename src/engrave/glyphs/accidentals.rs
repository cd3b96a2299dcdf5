//! Accidentals, from their left edge, on the line of their note.

use super::outline::{Outline, Point};
use super::pen::{all, curves, hole, polygon, rectangle};

/// Two thick bars that rise, two thin uprights.
pub(super) fn sharp() -> Outline {
    let bar =
        |y: f64| polygon(&[(0.0, y - 0.29), (1.0, y - 0.01), (1.0, y + 0.29), (0.0, y + 0.01)]);
    all([
        bar(0.50),
        bar(-0.50),
        rectangle(0.245, -1.40, 0.345, 1.30),
        rectangle(0.655, -1.30, 0.755, 1.40),
    ])
}

/// A thin stem, and a bowl whose belly is thick at its upper right.
pub(super) fn flat() -> Outline {
    let bowl = curves(
        (0.0, -0.68),
        &[
            [(0.30, -0.46), (0.92, 0.02), (0.92, 0.36)],
            [(0.92, 0.60), (0.72, 0.68), (0.54, 0.66)],
            [(0.34, 0.64), (0.16, 0.50), (0.06, 0.36)],
            [(0.03, 0.10), (0.0, -0.34), (0.0, -0.68)],
        ],
    );
    let counter = curves(
        (0.13, -0.38),
        &[
            [(0.36, -0.18), (0.58, 0.06), (0.60, 0.28)],
            [(0.60, 0.44), (0.50, 0.50), (0.40, 0.46)],
            [(0.26, 0.42), (0.15, 0.28), (0.13, 0.14)],
            [(0.12, 0.0), (0.13, -0.18), (0.13, -0.38)],
        ],
    );
    all([bowl, hole(&counter), polygon(&[(0.0, -0.68), (0.12, -0.58), (0.13, 1.76), (0.01, 1.76)])])
}

/// Two uprights, two thick bars between them.
pub(super) fn natural() -> Outline {
    let bar =
        |y: f64| polygon(&[(0.0, y - 0.26), (0.68, y - 0.08), (0.68, y + 0.24), (0.0, y + 0.06)]);
    all([
        bar(0.46),
        bar(-0.50),
        rectangle(0.0, -0.72, 0.10, 1.38),
        rectangle(0.58, -1.38, 0.68, 0.72),
    ])
}

/// A cross of four little squares.
pub(super) fn double_sharp() -> Outline {
    let arm = |sx: f64, sy: f64| {
        let at = |x: f64, y: f64| Point::new(0.5 + sx * x, sy * y);
        let corners = [
            (0.0, 0.09),
            (0.17, 0.20),
            (0.22, 0.50),
            (0.50, 0.50),
            (0.50, 0.22),
            (0.20, 0.17),
            (0.09, 0.0),
            (0.0, 0.0),
        ];
        let points: Vec<(f64, f64)> =
            corners.iter().map(|(x, y)| at(*x, *y)).map(|point| (point.x, point.y)).collect();
        polygon(&points)
    };
    all([arm(1.0, 1.0), arm(-1.0, 1.0), arm(1.0, -1.0), arm(-1.0, -1.0)])
}

/// Two flats, closer than two would stand.
pub(super) fn double_flat() -> Outline {
    let narrow = |x: f64| flat().mapped(move |point| Point::new(point.x * 0.92 + x, point.y));
    all([narrow(0.0), narrow(0.74)])
}

//! Signs around the notes.

use super::outline::{Outline, Point};
use super::pen::{all, curves, disc, ellipse, hole, polygon, rectangle, stroke};

/// A dot of length or of shortness, and of repeats.
pub(super) fn dot() -> Outline {
    disc(0.2, 0.0, 0.2)
}

/// A wedge that opens to the left.
pub(super) fn accent() -> Outline {
    polygon(&[
        (0.0, 0.48),
        (1.36, 0.06),
        (1.36, -0.06),
        (0.0, -0.48),
        (0.0, -0.34),
        (1.06, 0.0),
        (0.0, 0.34),
    ])
}

/// A roof, for a short and strong note.
pub(super) fn strong_accent() -> Outline {
    polygon(&[
        (0.0, 0.0),
        (0.46, 1.1),
        (0.66, 1.1),
        (1.06, 0.0),
        (0.82, 0.0),
        (0.48, 0.86),
        (0.12, 0.0),
    ])
}

/// An eye under a brow.
pub(super) fn fermata() -> Outline {
    all([
        curves(
            (0.0, 0.0),
            &[
                [(0.02, 0.78), (0.56, 1.34), (1.24, 1.34)],
                [(1.92, 1.34), (2.46, 0.78), (2.48, 0.0)],
                [(2.47, -0.06), (2.39, -0.06), (2.37, 0.0)],
                [(2.22, 0.58), (1.80, 0.98), (1.24, 0.98)],
                [(0.68, 0.98), (0.26, 0.58), (0.11, 0.0)],
                [(0.09, -0.06), (0.01, -0.06), (0.0, 0.0)],
            ],
        ),
        disc(1.24, 0.24, 0.23),
    ])
}

/// An S with a stroke through it and two dots.
pub(super) fn segno() -> Outline {
    all([
        stroke(&[
            (1.56, 2.16, 0.10),
            (1.62, 2.54, 0.12),
            (1.30, 2.84, 0.14),
            (0.84, 2.86, 0.18),
            (0.50, 2.50, 0.32),
            (0.66, 2.02, 0.38),
            (1.10, 1.64, 0.42),
            (1.56, 1.22, 0.40),
            (1.72, 0.72, 0.32),
            (1.40, 0.26, 0.18),
            (0.94, 0.20, 0.14),
            (0.58, 0.46, 0.12),
            (0.62, 0.86, 0.10),
        ]),
        disc(1.46, 2.24, 0.19),
        disc(0.72, 0.80, 0.19),
        stroke(&[(0.10, -0.02, 0.15), (2.10, 3.08, 0.15)]),
        disc(0.42, 1.32, 0.20),
        disc(1.78, 1.76, 0.20),
    ])
}

/// A ring with a cross through it.
pub(super) fn coda() -> Outline {
    all([
        ellipse(1.30, 1.50, 1.12, 0.90, (0.0, 1.0)),
        hole(&ellipse(1.30, 1.50, 1.00, 0.56, (0.0, 1.0))),
        rectangle(1.23, 0.0, 1.37, 3.0),
        rectangle(0.0, 1.43, 2.60, 1.57),
    ])
}

/// The bar before, once more: a slanted stroke between two dots.
pub(super) fn simile() -> Outline {
    all([
        polygon(&[(0.0, -1.0), (0.56, -1.0), (2.10, 1.0), (1.54, 1.0)]),
        disc(0.40, 0.54, 0.22),
        disc(1.70, -0.54, 0.22),
    ])
}

/// The two bars before, once more.
pub(super) fn double_simile() -> Outline {
    let slash = |x: f64| polygon(&[(x, -1.0), (x + 0.56, -1.0), (x + 2.10, 1.0), (x + 1.54, 1.0)]);
    all([slash(0.0), slash(0.86), disc(0.40, 0.54, 0.22), disc(2.56, -0.54, 0.22)])
}

/// The brace of a grand staff, four spaces high around its middle, its point to the left; it is
/// stretched to the height that it needs.
pub(super) fn brace() -> Outline {
    let half = stroke(&[
        (-0.92, 0.0, 0.02),
        (-0.66, 0.16, 0.13),
        (-0.56, 0.48, 0.24),
        (-0.60, 0.86, 0.30),
        (-0.62, 1.28, 0.26),
        (-0.42, 1.70, 0.14),
        (-0.08, 2.0, 0.02),
    ]);
    let lower = half.mapped(|point| Point::new(point.x, -point.y));
    let lower = Outline {
        contours: lower.contours.iter().map(super::outline::Contour::reversed).collect(),
    };
    half.joined(lower)
}

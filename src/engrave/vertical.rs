//! How far staves are from each other, and what joins them at the left and at bar lines.

use super::glyphs::Glyph;
use super::music::Music;
use super::rules::{STAFF_DISTANCE, STAFF_GAP, THIN_BAR};
use super::shape::{Kind, Shape};
use super::system::Frame;

/// Where the middle lines are, from the first staff's.
pub(super) fn centres(music: &Music, staves: &[Vec<Shape>]) -> Vec<f64> {
    let mut centres = vec![0.0];
    for (index, pair) in staves.windows(2).enumerate() {
        let same_part =
            music.parts.iter().any(|part| part.contains(&index) && part.contains(&(index + 1)));
        let mut distance: f64 = STAFF_DISTANCE + if same_part { 0.0 } else { 1.5 };
        let reaching = |shape: &&Shape| shape.bounds.y1 > 2.1;
        for upper in pair[0].iter().filter(reaching) {
            for lower in pair[1].iter().filter(|shape| shape.kind != Kind::Barline) {
                let (one, other) = (upper.bounds, lower.bounds);
                if one.x0 < other.x1 + 0.5 && other.x0 < one.x1 + 0.5 {
                    distance = distance.max(one.y1 - other.y0 + STAFF_GAP);
                }
            }
        }
        for lower in pair[1].iter().filter(|shape| shape.bounds.y0 < -2.1) {
            distance = distance.max(2.0 - lower.bounds.y0 + STAFF_GAP * 0.7);
        }
        centres.push(centres[index] + distance);
    }
    centres
}

/// The line at the left, braces, and bar lines through the gaps within a part.
pub(super) fn joins(music: &Music, frame: &Frame<'_>, centres: &[f64]) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let (Some(first), Some(last)) = (centres.first(), centres.last()) else { return shapes };
    if centres.len() > 1 {
        shapes.push(Shape::rectangle(Kind::Barline, 0.0, first - 2.0, THIN_BAR, last + 2.0));
    }
    for part in &music.parts {
        let staves = &centres[part.clone()];
        let [first, .., last] = staves else { continue };
        let (top, bottom) = (first - 2.0, last + 2.0);
        let height = (bottom - top) / 4.0;
        let scale = (0.9 + height * 0.12, height);
        shapes.push(Shape::stretched(
            Kind::Brace,
            Glyph::Brace,
            -0.15,
            f64::midpoint(top, bottom),
            scale,
        ));
        for pair in staves.windows(2) {
            for (place, barlines) in frame.places.iter().zip(&frame.barlines) {
                let lines = barlines[part.start].shapes.iter().filter(|shape| is_line(shape));
                for line in lines {
                    let (x0, x1) = (place.line + line.bounds.x0, place.line + line.bounds.x1);
                    shapes.push(Shape::rectangle(
                        Kind::Barline,
                        x0,
                        pair[0] + 2.0,
                        x1,
                        pair[1] - 2.0,
                    ));
                }
            }
            for line in frame.prefix[part.start].shapes.iter().filter(|shape| is_line(shape)) {
                let bounds = line.bounds;
                shapes.push(Shape::rectangle(
                    Kind::Barline,
                    bounds.x0,
                    pair[0] + 2.0,
                    bounds.x1,
                    pair[1] - 2.0,
                ));
            }
        }
    }
    shapes
}

fn is_line(shape: &Shape) -> bool {
    shape.kind == Kind::Barline && matches!(shape.ink, super::shape::Ink::Rectangle(_))
}

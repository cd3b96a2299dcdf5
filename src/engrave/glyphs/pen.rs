//! The tools that glyphs are drawn with: a pen whose width changes on its way, ellipses, polygons.
//!
//! Only the four operations and square roots are used, so that outlines are the same on every
//! machine.

use super::outline::{Contour, Outline, Point, Segment};

/// Where a pen is, and how wide its line is there.
pub(super) type Knot = (f64, f64, f64);

/// How far along a quarter of a circle the control points of its curve lie.
const QUARTER: f64 = 0.552_284_75;

/// Points of the outline between two knots, on each side.
const STEPS: u32 = 3;

/// A line through the knots, as smooth as it can be, of their widths.
pub(super) fn stroke(knots: &[Knot]) -> Outline {
    let centre: Vec<Point> = knots.iter().map(|knot| Point::new(knot.0, knot.1)).collect();
    let tangents = tangents(&centre);
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for index in 0..knots.len().saturating_sub(1) {
        let last = index + 2 == knots.len();
        let length = distance(centre[index], centre[index + 1]);
        let handle = |end: usize, sign: f64| {
            let (point, tangent) = (centre[end], tangents[end]);
            Point::new(
                point.x + sign * tangent.x * length / 3.0,
                point.y + sign * tangent.y * length / 3.0,
            )
        };
        let (one, two) = (handle(index, 1.0), handle(index + 1, -1.0));
        for step in 0..STEPS + u32::from(last) {
            let part = f64::from(step) / f64::from(STEPS);
            let (from, end) = (centre[index], centre[index + 1]);
            let at = super::outline::on_curve(from, one, two, end, part);
            let (a, b, c) =
                (from.towards(one, part), one.towards(two, part), two.towards(end, part));
            let (back, ahead) = (a.towards(b, part), b.towards(c, part));
            let along = distance(back, ahead).max(1e-9);
            let (dx, dy) = ((ahead.x - back.x) / along, (ahead.y - back.y) / along);
            // Widths change smoothly too.
            let eased = part * part * (3.0 - 2.0 * part);
            let half = (knots[index].2 + (knots[index + 1].2 - knots[index].2) * eased) / 2.0;
            left.push(Point::new(at.x - dy * half, at.y + dx * half));
            right.push(Point::new(at.x + dy * half, at.y - dx * half));
        }
    }
    right.reverse();
    let mut contour = Contour {
        start: left.first().copied().unwrap_or(Point::new(0.0, 0.0)),
        segments: Vec::new(),
    };
    contour.segments.extend(through(&left));
    if let Some(first) = right.first() {
        contour.segments.push(Segment::Line(*first));
    }
    contour.segments.extend(through(&right));
    solid(contour)
}

/// Directions at the points of a smooth curve through them, as long as one unit of way.
fn tangents(points: &[Point]) -> Vec<Point> {
    let slope = |one: usize, next: usize| {
        let length = distance(points[one], points[next]).max(1e-9);
        Point::new(
            (points[next].x - points[one].x) / length,
            (points[next].y - points[one].y) / length,
        )
    };
    let last = points.len().saturating_sub(1);
    let inner = |index: usize| {
        // The circle through three points has this direction in the middle one.
        let before = distance(points[index - 1], points[index]);
        let after = distance(points[index], points[index + 1]);
        let (one, next) = (slope(index - 1, index), slope(index, index + 1));
        let sum = (before + after).max(1e-9);
        let tangent = Point::new(
            (one.x * after + next.x * before) / sum,
            (one.y * after + next.y * before) / sum,
        );
        let length = distance(Point::new(0.0, 0.0), tangent).max(1e-9);
        // A bend wants longer handles than its chord has.
        let swell = 1.0 + (1.0 - length.min(1.0)) * 0.6;
        Point::new(tangent.x / length * swell, tangent.y / length * swell)
    };
    let mut tangents: Vec<Point> = (0..points.len())
        .map(|index| if index == 0 || index == last { Point::new(0.0, 0.0) } else { inner(index) })
        .collect();
    if points.len() > 1 {
        let end = |chord: Point, inner: Point| {
            // The end bends on as the curve does beside it.
            let along = 2.0 * (chord.x * inner.x + chord.y * inner.y);
            let mirrored = Point::new(along * chord.x - inner.x, along * chord.y - inner.y);
            if points.len() > 2 { mirrored } else { chord }
        };
        tangents[0] = end(slope(0, 1), tangents[1]);
        tangents[last] = end(slope(last - 1, last), tangents[last - 1]);
    }
    tangents
}

/// Curves through points.
fn through(points: &[Point]) -> Vec<Segment> {
    let tangents = tangents(points);
    let pairs = (0..points.len().saturating_sub(1)).map(|index| {
        let (from, end) = (points[index], points[index + 1]);
        let third = distance(from, end) / 3.0;
        let (out, back) = (tangents[index], tangents[index + 1]);
        Segment::Curve(
            Point::new(from.x + out.x * third, from.y + out.y * third),
            Point::new(end.x - back.x * third, end.y - back.y * third),
            end,
        )
    });
    pairs.collect()
}

fn distance(one: Point, other: Point) -> f64 {
    let (dx, dy) = (other.x - one.x, other.y - one.y);
    (dx * dx + dy * dy).sqrt()
}

fn solid(contour: Contour) -> Outline {
    let contour = if contour.area() < 0.0 { contour.reversed() } else { contour };
    Outline { contours: vec![contour] }
}

/// The same curves as holes.
pub(super) fn hole(outline: &Outline) -> Outline {
    Outline { contours: outline.contours.iter().map(Contour::reversed).collect() }
}

/// An ellipse: its centre, half its length, half its breadth, and the direction of its length.
pub(super) fn ellipse(x: f64, y: f64, long: f64, broad: f64, direction: (f64, f64)) -> Outline {
    let length = (direction.0 * direction.0 + direction.1 * direction.1).sqrt();
    let (cos, sin) = (direction.0 / length, direction.1 / length);
    let at = |along: f64, across: f64| {
        let (along, across) = (along * long, across * broad);
        Point::new(x + along * cos - across * sin, y + along * sin + across * cos)
    };
    let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
    let segments = (0..4).map(|index| {
        let (from, to) = (quarters[index], quarters[(index + 1) % 4]);
        Segment::Curve(
            at(from.0 + to.0 * QUARTER, from.1 + to.1 * QUARTER),
            at(to.0 + from.0 * QUARTER, to.1 + from.1 * QUARTER),
            at(to.0, to.1),
        )
    });
    Outline { contours: vec![Contour { start: at(1.0, 0.0), segments: segments.collect() }] }
}

/// A full circle.
pub(super) fn disc(x: f64, y: f64, radius: f64) -> Outline {
    ellipse(x, y, radius, radius, (1.0, 0.0))
}

/// Straight lines from corner to corner.
pub(super) fn polygon(corners: &[(f64, f64)]) -> Outline {
    let points: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    let Some(start) = points.first().copied() else { return Outline::default() };
    solid(Contour { start, segments: points[1..].iter().map(|end| Segment::Line(*end)).collect() })
}

/// Curves as they are written: where to begin, then control, control, end.
pub(super) fn curves(start: (f64, f64), curves: &[[(f64, f64); 3]]) -> Outline {
    let point = |(x, y): (f64, f64)| Point::new(x, y);
    let segments =
        curves.iter().map(|[one, two, end]| Segment::Curve(point(*one), point(*two), point(*end)));
    solid(Contour { start: point(start), segments: segments.collect() })
}

/// An upright rectangle.
pub(super) fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Outline {
    polygon(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
}

/// Several outlines as one.
pub(super) fn all(outlines: impl IntoIterator<Item = Outline>) -> Outline {
    outlines.into_iter().fold(Outline::default(), Outline::joined)
}

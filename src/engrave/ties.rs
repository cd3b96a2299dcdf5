//! Ties: from head to head, over a bar line, out of a system and into the next.

use super::glyphs::outline::{Contour, Outline, Point, Segment};
use super::shape::{Kind, Shape};

/// A head that may be tied.
#[derive(Debug, Clone, Copy)]
pub(super) struct TiedHead {
    pub(super) voice: usize,
    /// In ticks from the start of the system.
    pub(super) start: i64,
    pub(super) end: i64,
    pub(super) pitch: i16,
    /// The left edge of the head, and its right one with its dots.
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) y: f64,
    /// Whether the tie bends over the head or under it.
    pub(super) above: bool,
    /// Between two heads of a chord, where it begins at the head's middle.
    pub(super) is_inner: bool,
    pub(super) tie_start: bool,
    pub(super) tie_stop: bool,
}

/// All ties of a staff in a system. `first` and `last` are where the system's notes may begin and
/// where its last bar line is.
pub(super) fn ties(heads: &[TiedHead], first: f64, last: f64) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let mut joined = vec![false; heads.len()];
    for head in heads.iter().filter(|head| head.tie_start) {
        let matches = |other: &TiedHead| {
            other.start == head.end && other.pitch == head.pitch && other.tie_stop
        };
        let next = heads.iter().enumerate().filter(|(_, other)| matches(other));
        let next = next.min_by_key(|(_, other)| other.voice.abs_diff(head.voice));
        let is_last = heads.iter().all(|other| other.start < head.end);
        let to = match next {
            Some((index, other)) => {
                joined[index] = true;
                other.left
            }
            None if is_last => last,
            None => head.right + 2.2,
        };
        shapes.push(tie(head, head.right, to));
    }
    for (head, _) in heads.iter().zip(&joined).filter(|(head, joined)| head.tie_stop && !**joined) {
        let earlier = heads.iter().any(|other| other.start < head.start);
        let from =
            if earlier { head.left - 2.2 } else { first.max(head.left - 4.0).min(head.left - 1.2) };
        shapes.push(tie(head, from, head.left));
    }
    shapes
}

fn tie(head: &TiedHead, from: f64, to: f64) -> Shape {
    let side = if head.above { -1.0 } else { 1.0 };
    let (start, offset) = if head.is_inner { (from + 0.12, 0.18) } else { (from - 0.28, 0.58) };
    let end = if head.is_inner { to - 0.12 } else { to + 0.28 };
    let end = end.max(start + 0.8);
    let y = head.y + side * offset;
    let length = end - start;
    let height = (0.32 + length * 0.055).min(1.05);
    let (thin, thick) = (0.05, 0.15);
    let bend = (length * 0.28).min(2.0);
    let outer = y + side * (height + thick) * 4.0 / 3.0;
    let inner = y + side * (height - thick) * 4.0 / 3.0;
    let contour = Contour {
        start: Point::new(start, y + side * thin),
        segments: vec![
            Segment::Curve(
                Point::new(start + bend, outer),
                Point::new(end - bend, outer),
                Point::new(end, y + side * thin),
            ),
            Segment::Line(Point::new(end, y - side * thin)),
            Segment::Curve(
                Point::new(end - bend, inner),
                Point::new(start + bend, inner),
                Point::new(start, y - side * thin),
            ),
        ],
    };
    Shape::fill(Kind::Tie, Outline { contours: vec![contour] })
}

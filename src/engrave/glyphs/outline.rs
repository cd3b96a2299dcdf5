//! Outlines of closed curves, in staff spaces, y upwards.

/// A point in staff spaces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Upwards in glyphs, downwards on a page.
    pub y: f64,
}

impl Point {
    pub(crate) const fn new(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// The point a part of the way to another.
    pub(crate) fn towards(self, other: Point, part: f64) -> Point {
        Point::new(self.x + (other.x - self.x) * part, self.y + (other.y - self.y) * part)
    }
}

/// One stretch of a contour, from where the one before ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Straight to a point.
    Line(Point),
    /// A cubic curve: two control points and the end.
    Curve(Point, Point, Point),
}

/// A closed curve. Solid ones run counterclockwise, holes clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// Where it begins.
    pub start: Point,
    /// What leads back there.
    pub segments: Vec<Segment>,
}

/// Closed curves that are filled together, by the non-zero winding rule.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outline {
    /// The curves.
    pub contours: Vec<Contour>,
}

/// A rectangle, `top` and `bottom` in the direction of its coordinates: `y0 <= y1`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The left edge.
    pub x0: f64,
    /// The lower number of the two horizontal edges.
    pub y0: f64,
    /// The right edge.
    pub x1: f64,
    /// The higher number of the two horizontal edges.
    pub y1: f64,
}

impl Bounds {
    pub(crate) const EMPTY: Bounds = Bounds {
        x0: f64::INFINITY,
        y0: f64::INFINITY,
        x1: f64::NEG_INFINITY,
        y1: f64::NEG_INFINITY,
    };

    pub(crate) const fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Bounds {
        Bounds { x0, y0, x1, y1 }
    }

    pub(crate) fn with(self, point: Point) -> Bounds {
        Bounds {
            x0: self.x0.min(point.x),
            y0: self.y0.min(point.y),
            x1: self.x1.max(point.x),
            y1: self.y1.max(point.y),
        }
    }

    pub(crate) fn union(self, other: Bounds) -> Bounds {
        Bounds {
            x0: self.x0.min(other.x0),
            y0: self.y0.min(other.y0),
            x1: self.x1.max(other.x1),
            y1: self.y1.max(other.y1),
        }
    }

    pub(crate) fn width(self) -> f64 {
        self.x1 - self.x0
    }
}

impl Outline {
    /// The smallest rectangle around it.
    pub(crate) fn bounds(&self) -> Bounds {
        let mut bounds = Bounds::EMPTY;
        for contour in &self.contours {
            for point in contour.points(16) {
                bounds = bounds.with(point);
            }
        }
        bounds
    }

    pub(crate) fn joined(mut self, other: Outline) -> Outline {
        self.contours.extend(other.contours);
        self
    }

    /// The same, moved and enlarged.
    pub(crate) fn placed(&self, dx: f64, dy: f64, scale: f64) -> Outline {
        self.mapped(|point| Point::new(point.x * scale + dx, point.y * scale + dy))
    }

    pub(crate) fn mapped(&self, map: impl Fn(Point) -> Point) -> Outline {
        let contours = self.contours.iter().map(|contour| Contour {
            start: map(contour.start),
            segments: contour
                .segments
                .iter()
                .map(|segment| match *segment {
                    Segment::Line(end) => Segment::Line(map(end)),
                    Segment::Curve(one, two, end) => Segment::Curve(map(one), map(two), map(end)),
                })
                .collect(),
        });
        Outline { contours: contours.collect() }
    }
}

impl Contour {
    /// Points on it, so many to a curve.
    pub(crate) fn points(&self, to_a_curve: u32) -> Vec<Point> {
        let mut points = vec![self.start];
        let mut from = self.start;
        for segment in &self.segments {
            match *segment {
                Segment::Line(end) => {
                    points.push(end);
                    from = end;
                }
                Segment::Curve(one, two, end) => {
                    for step in 1..=to_a_curve {
                        let part = f64::from(step) / f64::from(to_a_curve);
                        points.push(on_curve(from, one, two, end, part));
                    }
                    from = end;
                }
            }
        }
        points
    }

    /// Twice the area inside, positive where the curve runs counterclockwise (y upwards).
    pub(crate) fn area(&self) -> f64 {
        let points = self.points(4);
        let pairs = points.iter().zip(points.iter().cycle().skip(1));
        pairs.map(|(one, next)| one.x * next.y - next.x * one.y).sum()
    }

    /// The same curve the other way round.
    pub(crate) fn reversed(&self) -> Contour {
        let mut ends = vec![self.start];
        ends.extend(self.segments.iter().map(|segment| match *segment {
            Segment::Line(end) | Segment::Curve(_, _, end) => end,
        }));
        let start = *ends.last().unwrap_or(&self.start);
        let back = self.segments.iter().zip(&ends).rev();
        let segments = back.map(|(segment, from)| match *segment {
            Segment::Line(_) => Segment::Line(*from),
            Segment::Curve(one, two, _) => Segment::Curve(two, one, *from),
        });
        Contour { start, segments: segments.collect() }
    }
}

/// De Casteljau.
pub(crate) fn on_curve(from: Point, one: Point, two: Point, end: Point, part: f64) -> Point {
    let (a, b, c) = (from.towards(one, part), one.towards(two, part), two.towards(end, part));
    a.towards(b, part).towards(b.towards(c, part), part)
}

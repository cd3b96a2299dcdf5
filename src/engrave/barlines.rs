//! Bar lines, repeat signs, key signatures, meters, clefs: what stands between the bars.

use super::cell::y_of;
use super::glyphs::Glyph;
use super::music::BarEnd;
use super::rules::{BAR_GAP, THICK_BAR, THIN_BAR};
use super::shape::{Kind, Shape};
use crate::codec::musicxml::score::Clef;

/// Shapes side by side that begin at zero, and where they end.
#[derive(Debug, Default)]
pub(super) struct Strip {
    pub(super) shapes: Vec<Shape>,
    pub(super) width: f64,
}

/// Lines and dots at a bar line, for one staff.
pub(super) fn barline(end: BarEnd, starts_repeat: bool) -> Strip {
    let mut strip = Strip::default();
    match end {
        BarEnd::Repeat => {
            strip.dots();
            strip.line(THIN_BAR);
            strip.width += BAR_GAP;
            strip.line(THICK_BAR);
        }
        BarEnd::Final => {
            strip.line(THIN_BAR);
            strip.width += BAR_GAP;
            strip.line(THICK_BAR);
        }
        _ if starts_repeat => strip.line(THICK_BAR),
        BarEnd::Double => {
            strip.line(THIN_BAR);
            strip.width += BAR_GAP;
            strip.line(THIN_BAR);
        }
        BarEnd::Plain => strip.line(THIN_BAR),
    }
    if starts_repeat {
        strip.after_thick();
    }
    strip
}

/// The sign that a repeat begins, at the start of a system.
pub(super) fn repeat_start() -> Strip {
    let mut strip = Strip::default();
    strip.line(THICK_BAR);
    strip.after_thick();
    strip
}

impl Strip {
    fn line(&mut self, width: f64) {
        self.shapes.push(Shape::rectangle(
            Kind::Barline,
            self.width,
            -2.0,
            self.width + width,
            2.0,
        ));
        self.width += width;
    }

    fn after_thick(&mut self) {
        self.width += BAR_GAP;
        self.line(THIN_BAR);
        self.width += BAR_GAP;
        for y in [-0.5, 0.5] {
            self.shapes.push(Shape::glyph(Kind::Barline, Glyph::Dot, self.width, y));
        }
        self.width += Glyph::Dot.width();
    }

    fn dots(&mut self) {
        for y in [-0.5, 0.5] {
            self.shapes.push(Shape::glyph(Kind::Barline, Glyph::Dot, self.width, y));
        }
        self.width += Glyph::Dot.width() + BAR_GAP;
    }
}

/// A clef at the left.
pub(super) fn clef(clef: Clef) -> Strip {
    let (glyph, y) = match clef {
        Clef::Treble => (Glyph::TrebleClef, 1.0),
        Clef::Bass => (Glyph::BassClef, -1.0),
    };
    let shape = Shape::glyph(Kind::Clef, glyph, 0.0, y);
    Strip { width: shape.bounds.x1, shapes: vec![shape] }
}

/// Where sharps stand in the treble clef, and flats.
const SHARPS: [i32; 7] = [4, 1, 5, 2, -1, 3, 0];
const FLATS: [i32; 7] = [0, 3, -1, 2, -2, 1, -3];

/// A key signature; naturals where a key of none follows another.
pub(super) fn key(fifths: i8, before: Option<i8>, clef: Clef) -> Strip {
    let shift = if clef == Clef::Bass { -2 } else { 0 };
    let (of, glyph) = match (fifths, before) {
        (0, Some(before)) => (before, Glyph::Natural),
        (1.., _) => (fifths, Glyph::Sharp),
        _ => (fifths, Glyph::Flat),
    };
    let places = if of > 0 { SHARPS } else { FLATS };
    let step = match glyph {
        Glyph::Sharp => 1.02,
        Glyph::Natural => 0.92,
        _ => 0.98,
    };
    let mut strip = Strip::default();
    let mut x = 0.0;
    for place in places.into_iter().take(usize::from(of.unsigned_abs())) {
        let shape = Shape::glyph(Kind::KeySignature, glyph, x, y_of(place + shift));
        strip.width = shape.bounds.x1;
        strip.shapes.push(shape);
        x += step;
    }
    strip
}

/// A time signature.
pub(super) fn meter(beats: u8, unit: u8) -> Strip {
    let row = |number: u8, y: f64| {
        let mut x = 0.0;
        let mut shapes = Vec::new();
        for figure in number.to_string().bytes().map(|byte| byte - b'0') {
            let shape = Shape::glyph(Kind::Meter, Glyph::digit(figure), x, y);
            x = shape.bounds.x1 + 0.08;
            shapes.push(shape);
        }
        (shapes, x)
    };
    let ((upper, upper_width), (lower, lower_width)) = (row(beats, -1.0), row(unit, 1.0));
    let width = upper_width.max(lower_width);
    let centred = |shapes: Vec<Shape>, own: f64| {
        shapes.into_iter().map(move |shape| shape.moved((width - own) / 2.0, 0.0))
    };
    let shapes = centred(upper, upper_width).chain(centred(lower, lower_width)).collect();
    Strip { shapes, width }
}

//! Words with the signs of music among them, from left to right on one line.

use super::glyphs::Glyph;
use super::shape::{Kind, Shape};
use super::text::{Face, Text};

/// What has been written so far. It begins at zero, on its line.
#[derive(Debug)]
pub(super) struct Pen {
    pub(super) shapes: Vec<Shape>,
    /// How far it has come.
    pub(super) width: f64,
    kind: Kind,
    face: Face,
}

impl Pen {
    pub(super) const fn new(kind: Kind, face: Face) -> Pen {
        Pen { shapes: Vec::new(), width: 0.0, kind, face }
    }

    /// Words that may hold accidentals, which the typeface has not.
    pub(super) fn line(kind: Kind, face: Face, size: f64, words: &str) -> Pen {
        let mut pen = Pen::new(kind, face);
        for piece in words.split_inclusive(|sign| accidental(sign).is_some()) {
            let sign = piece.chars().last().and_then(accidental);
            pen.words(piece.trim_end_matches(|last| accidental(last).is_some()), size, 0.0);
            if let Some(glyph) = sign {
                pen.sign(glyph, size, 0.0);
            }
        }
        pen
    }

    pub(super) fn words(&mut self, words: &str, size: f64, raised: f64) {
        if words.is_empty() {
            return;
        }
        let text = Text::new(words, self.face, size, self.width, -raised);
        self.width += text.width();
        self.shapes.push(Shape::text(self.kind, text));
    }

    /// A sign as high as the letters of a size, standing on their line.
    pub(super) fn sign(&mut self, glyph: Glyph, size: f64, raised: f64) {
        let scale = size * 0.29;
        let low = glyph.bounds().y0 * scale;
        let sign = Shape::stretched(
            self.kind,
            glyph,
            self.width + 0.04 * size,
            -raised + low + 0.05 * size,
            (scale, scale),
        );
        self.width = sign.bounds.x1 + 0.05 * size;
        self.shapes.push(sign);
    }
}

fn accidental(sign: char) -> Option<Glyph> {
    match sign {
        '\u{266d}' => Some(Glyph::Flat),
        '\u{266e}' => Some(Glyph::Natural),
        '\u{266f}' => Some(Glyph::Sharp),
        _ => None,
    }
}

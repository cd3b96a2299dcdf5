//! Words: their face, their size, and how much room they take.

use std::sync::LazyLock;

use super::glyphs::outline::{Bounds, Contour, Outline, Point, Segment};

/// A typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Face {
    Regular,
    Bold,
    Italic,
    BoldItalic,
    Semibold,
}

impl Face {
    /// All of them.
    pub const ALL: [Face; 5] =
        [Face::Regular, Face::Bold, Face::Italic, Face::BoldItalic, Face::Semibold];

    /// The font: Libertinus Serif, under the SIL Open Font License.
    pub(crate) fn font(self) -> Option<&'static Font> {
        FONTS.get(self as usize).and_then(Option::as_ref)
    }
}

/// A font as its file has it.
#[derive(Debug)]
pub(crate) struct Font {
    /// The file.
    pub(crate) data: &'static [u8],
    /// What is in it.
    pub(crate) face: ttf_parser::Face<'static>,
}

/// The first faces that the crate lists, in its order.
static FONTS: LazyLock<Vec<Option<Font>>> = LazyLock::new(|| {
    let faces = typst_assets::fonts().take(Face::ALL.len());
    faces.map(|data| Some(Font { data, face: ttf_parser::Face::parse(data, 0).ok()? })).collect()
});

impl Font {
    /// Its units, as a part of the size of the text.
    pub(crate) fn unit(&self) -> f64 {
        1.0 / f64::from(self.face.units_per_em().max(1))
    }

    /// How far a character leads, as a part of the size of the text.
    pub(crate) fn advance(&self, glyph: ttf_parser::GlyphId) -> f64 {
        f64::from(self.face.glyph_hor_advance(glyph).unwrap_or(0)) * self.unit()
    }
}

/// Words at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What is said. Characters that the face has not are left out by those who draw outlines.
    pub words: String,
    /// In which face.
    pub face: Face,
    /// The size of the face: the distance of two lines that are set solid.
    pub size: f64,
    /// Where the first letter stands on its line.
    pub at: Point,
}

impl Text {
    pub(super) fn new(words: impl Into<String>, face: Face, size: f64, x: f64, y: f64) -> Text {
        Text { words: readable(&words.into(), face), face, size, at: Point::new(x, y) }
    }

    /// How wide it is.
    pub(crate) fn width(&self) -> f64 {
        width(&self.words, self.face) * self.size
    }

    /// The rectangle around its letters.
    pub(super) fn bounds(&self) -> Bounds {
        let mut bounds = Bounds::EMPTY;
        let mut x = self.at.x;
        let Some(font) = self.face.font() else { return bounds };
        let unit = font.unit() * self.size;
        for (_, glyph, advance) in self.letters() {
            if let Some(of) = font.face.glyph_bounding_box(glyph) {
                bounds = bounds.union(Bounds::new(
                    x + f64::from(of.x_min) * unit,
                    self.at.y - f64::from(of.y_max) * unit,
                    x + f64::from(of.x_max) * unit,
                    self.at.y - f64::from(of.y_min) * unit,
                ));
            }
            x += advance;
        }
        if bounds.x0 > bounds.x1 {
            Bounds::new(self.at.x, self.at.y, self.at.x, self.at.y)
        } else {
            bounds
        }
    }

    /// Its letters: each with its number in the font and how far it leads.
    pub(crate) fn letters(&self) -> impl Iterator<Item = (char, ttf_parser::GlyphId, f64)> {
        let font = self.face.font();
        self.words.chars().filter_map(move |character| {
            let font = font?;
            let glyph = font.face.glyph_index(character)?;
            Some((character, glyph, font.advance(glyph) * self.size))
        })
    }
}

/// How wide words are, as a part of the size of the text.
pub(super) fn width(words: &str, face: Face) -> f64 {
    let Some(font) = face.font() else { return 0.0 };
    let advance =
        |character| font.face.glyph_index(character).map_or(0.0, |glyph| font.advance(glyph));
    words.chars().map(advance).sum()
}

/// Words in letters that the face has: others are written as they sound, where that is known.
fn readable(words: &str, face: Face) -> String {
    let Some(font) = face.font() else { return words.to_owned() };
    let has = |character| font.face.glyph_index(character).is_some();
    let mut readable = String::with_capacity(words.len());
    for character in words.chars() {
        match character {
            _ if character.is_control() => readable.push(' '),
            _ if has(character) => readable.push(character),
            _ => readable.push_str(deunicode::deunicode_char(character).unwrap_or("?")),
        }
    }
    readable
}

/// One letter in the units of its font, y upwards.
pub(crate) fn letter(font: &Font, glyph: ttf_parser::GlyphId) -> Outline {
    let mut builder = Builder::default();
    let _bounds = font.face.outline_glyph(glyph, &mut builder);
    builder.outline
}

#[derive(Default)]
struct Builder {
    outline: Outline,
    last: Option<Point>,
}

impl Builder {
    fn push(&mut self, segment: Segment, end: Point) {
        if let Some(contour) = self.outline.contours.last_mut() {
            contour.segments.push(segment);
        }
        self.last = Some(end);
    }
}

fn point(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), f64::from(y))
}

impl ttf_parser::OutlineBuilder for Builder {
    fn move_to(&mut self, x: f32, y: f32) {
        let start = point(x, y);
        self.outline.contours.push(Contour { start, segments: Vec::new() });
        self.last = Some(start);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.push(Segment::Line(point(x, y)), point(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (control, end) = (point(x1, y1), point(x, y));
        let from = self.last.unwrap_or(control);
        let (one, two) = (from.towards(control, 2.0 / 3.0), end.towards(control, 2.0 / 3.0));
        self.push(Segment::Curve(one, two, end), end);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.push(Segment::Curve(point(x1, y1), point(x2, y2), point(x, y)), point(x, y));
    }

    fn close(&mut self) {}
}

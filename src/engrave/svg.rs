//! Drawings as SVG pictures, with all letters and signs as curves, so that they look the same
//! everywhere.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::glyphs::outline::{Bounds, Outline, Point, Segment};
use super::shape::{Drawing, Ink, NoteId, Shape};
use super::text::{Face, Text, letter};

/// White around the drawing, in staff spaces.
const MARGIN: f64 = 1.5;

/// Pixels to a staff space, for programs that show the picture at its own size.
const PIXELS: f64 = 8.0;

/// A drawing in the pieces of an SVG picture, which several may share.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pieces {
    /// Signs and letters by name, as the `d` of a path: what [`Pieces::body`] uses.
    pub signs: BTreeMap<String, String>,
    /// The elements. It holds numbers and names of signs, and no text of the drawing.
    pub body: String,
    /// The `viewBox`.
    pub view: [String; 4],
    /// Width and height in pixels.
    pub size: [String; 2],
}

/// The pieces of a drawing.
#[must_use]
pub fn pieces(drawing: &Drawing) -> Pieces {
    let mut out = Pieces::default();
    let bounds = drawing
        .shapes
        .iter()
        .fold(Bounds::new(0.0, 0.0, drawing.width, drawing.height), |all, shape| {
            all.union(shape.bounds)
        });
    let (x, y) = (bounds.x0 - MARGIN, bounds.y0 - MARGIN);
    let (width, height) = (bounds.width() + 2.0 * MARGIN, bounds.y1 - bounds.y0 + 2.0 * MARGIN);
    out.view = [x, y, width, height].map(number);
    out.size = [width * PIXELS, height * PIXELS].map(number);
    // Upright lines are one path. They all run the same way round, so none cuts another out.
    let mut path = String::new();
    for shape in &drawing.shapes {
        if let Ink::Rectangle(bounds) = &shape.ink {
            rectangle(&mut path, *bounds);
        }
    }
    // Writing to a string cannot fail.
    let _ = writeln!(out.body, "<path d=\"{path}\"/>");
    for shape in &drawing.shapes {
        out.shape(shape);
    }
    out
}

/// A drawing as a picture of its own. `title` is for those who hear it read.
#[must_use]
pub fn svg(drawing: &Drawing, title: &str) -> String {
    let Pieces { signs, body, view, size } = pieces(drawing);
    let (view, title) = (view.join(" "), escaped(title));
    let mut defs = String::new();
    for (name, path) in &signs {
        let _ = write!(defs, "<path id=\"{name}\" d=\"{path}\"/>");
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{view}\" width=\"{}\" height=\"{}\" \
         role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n<defs>{defs}</defs>\n{body}</svg>\n",
        size[0], size[1],
    )
}

/// Text that may stand in an element or an attribute.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '&' => escaped.push_str("&amp;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            _ if character.is_control() => escaped.push(' '),
            _ => escaped.push(character),
        }
    }
    escaped
}

/// A hundredth of a space is less than a printer's dot.
fn number(number: f64) -> String {
    let text = format!("{number:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Pieces {
    fn shape(&mut self, shape: &Shape) {
        let note = shape.note.map_or_else(String::new, attributes);
        match &shape.ink {
            Ink::Glyph { glyph, at, scale } => {
                let name = format!("g{}", *glyph as usize);
                if !self.signs.contains_key(&name) {
                    let outline = &glyph.drawing().outline;
                    let outline = outline.mapped(|point| Point::new(point.x, -point.y));
                    self.signs.insert(name.clone(), curves(&outline));
                }
                self.place(&name, *at, *scale, &note);
            }
            Ink::Text(text) => self.words(text),
            Ink::Fill(outline) => {
                let _ = writeln!(self.body, "<path d=\"{}\"/>", curves(outline));
            }
            Ink::Rectangle(_) => {}
        }
    }

    /// Letters stand in the signs ten spaces high.
    fn words(&mut self, text: &Text) {
        let Some(font) = text.face.font() else { return };
        let mut x = text.at.x;
        for (_, glyph, advance) in text.letters() {
            let name = format!("{}{}", face(text.face), glyph.0);
            if !self.signs.contains_key(&name) {
                let unit = font.unit() * 10.0;
                let of = letter(font, glyph);
                let of = of.mapped(|point| Point::new(point.x * unit, -point.y * unit));
                self.signs.insert(name.clone(), curves(&of));
            }
            let size = text.size / 10.0;
            if self.signs.get(&name).is_some_and(|path| !path.is_empty()) {
                self.place(&name, Point::new(x, text.at.y), (size, size), "");
            }
            x += advance;
        }
    }

    fn place(&mut self, name: &str, at: Point, scale: (f64, f64), note: &str) {
        let is_plain = (scale.0 - 1.0).abs() < 1e-9 && (scale.1 - 1.0).abs() < 1e-9;
        let (x, y) = (number(at.x), number(at.y));
        let _ = if is_plain {
            writeln!(self.body, "<use{note} href=\"#{name}\" x=\"{x}\" y=\"{y}\"/>")
        } else {
            let (across, up) = (format!("{:.4}", scale.0), format!("{:.4}", scale.1));
            let scale = if across == up { across } else { format!("{across} {up}") };
            writeln!(
                self.body,
                "<use{note} href=\"#{name}\" transform=\"translate({x} {y}) scale({scale})\"/>"
            )
        };
    }
}

const fn face(face: Face) -> &'static str {
    match face {
        Face::Regular => "r",
        Face::Bold => "b",
        Face::Italic => "i",
        Face::BoldItalic => "t",
        Face::Semibold => "s",
    }
}

/// What a page needs to mark a sounding note: its measure in the score, from 0, when in it the note
/// begins, and how long it lasts, in ticks.
fn attributes(note: NoteId) -> String {
    format!(" class=\"note\" data-note=\"{} {} {}\"", note.measure, note.at, note.length)
}

fn rectangle(path: &mut String, bounds: Bounds) {
    let (width, height) = (number(bounds.width()), number(bounds.y1 - bounds.y0));
    let (x, y) = (number(bounds.x0), number(bounds.y0));
    let _ = write!(path, "M{x} {y}h{width}v{height}h-{width}z");
}

/// The `d` of a path.
fn curves(outline: &Outline) -> String {
    let mut path = String::new();
    for contour in &outline.contours {
        let _ = write!(path, "M{} {}", number(contour.start.x), number(contour.start.y));
        for segment in &contour.segments {
            let _ = match *segment {
                Segment::Line(end) => write!(path, "L{} {}", number(end.x), number(end.y)),
                Segment::Curve(one, two, end) => write!(
                    path,
                    "C{} {} {} {} {} {}",
                    number(one.x),
                    number(one.y),
                    number(two.x),
                    number(two.y),
                    number(end.x),
                    number(end.y)
                ),
            };
        }
        path.push('Z');
    }
    path
}

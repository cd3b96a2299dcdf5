//! Drawings as SVG pictures, with all letters and signs as curves, so that they look the same
//! everywhere.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::glyphs::Glyph;
use super::glyphs::outline::{Bounds, Outline, Point, Segment};
use super::shape::{Drawing, Ink, NoteId, Shape};
use super::text::{Face, letter};

/// White around the drawing, in staff spaces.
const MARGIN: f64 = 1.5;

/// Pixels to a staff space, for programs that show the picture at its own size.
const PIXELS: f64 = 8.0;

/// A drawing as a picture of its own. `title` is for those who hear it read.
#[must_use]
pub fn svg(drawing: &Drawing, title: &str) -> String {
    let mut out = Out::default();
    let bounds = drawing
        .shapes
        .iter()
        .fold(Bounds::new(0.0, 0.0, drawing.width, drawing.height), |all, shape| {
            all.union(shape.bounds)
        });
    let (x, y) = (bounds.x0 - MARGIN, bounds.y0 - MARGIN);
    let (width, height) = (bounds.width() + 2.0 * MARGIN, bounds.y1 - bounds.y0 + 2.0 * MARGIN);
    for shape in &drawing.shapes {
        out.shape(shape);
    }
    let mut text = String::new();
    let mut defs = String::new();
    for (name, path) in &out.used {
        // Writing to a string cannot fail.
        let _ = write!(defs, "<path id=\"{name}\" d=\"{path}\"/>");
    }
    let _ = write!(
        text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" width=\"{}\" height=\"{}\" \
         role=\"img\" aria-label=\"{}\">\n<title>{}</title>\n<defs>{defs}</defs>\n{}</svg>\n",
        number(x),
        number(y),
        number(width),
        number(height),
        number(width * PIXELS),
        number(height * PIXELS),
        escaped(title),
        escaped(title),
        out.body,
    );
    text
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

#[derive(Default)]
struct Out {
    body: String,
    /// Curves that are used more than once, by name.
    used: BTreeMap<String, String>,
}

impl Out {
    fn shape(&mut self, shape: &Shape) {
        let note = shape.note.map_or_else(String::new, attributes);
        match &shape.ink {
            Ink::Glyph { glyph, at, scale } => {
                let name = self.glyph(*glyph);
                self.place(&name, *at, *scale, &note);
            }
            Ink::Rectangle(bounds) => {
                let _ = writeln!(
                    self.body,
                    "<path{note} d=\"M{} {}h{}v{}h{}z\"/>",
                    number(bounds.x0),
                    number(bounds.y0),
                    number(bounds.width()),
                    number(bounds.y1 - bounds.y0),
                    number(-bounds.width()),
                );
            }
            Ink::Fill(outline) => {
                let _ = writeln!(self.body, "<path{note} d=\"{}\"/>", path(outline));
            }
            Ink::Text(text) => {
                let Some(font) = text.face.font() else { return };
                let mut x = text.at.x;
                for (_, glyph, advance) in text.letters() {
                    let name = format!("{}{}", face(text.face), glyph.0);
                    if !self.used.contains_key(&name) {
                        let unit = font.unit() * 10.0;
                        let of = letter(font, glyph);
                        let of = of.mapped(|point| Point::new(point.x * unit, -point.y * unit));
                        self.used.insert(name.clone(), path(&of));
                    }
                    let size = text.size / 10.0;
                    if self.used.get(&name).is_some_and(|path| !path.is_empty()) {
                        self.place(&name, Point::new(x, text.at.y), (size, size), "");
                    }
                    x += advance;
                }
            }
        }
    }

    fn glyph(&mut self, glyph: Glyph) -> String {
        let name = format!("{glyph:?}");
        if !self.used.contains_key(&name) {
            let outline = &glyph.drawing().outline;
            self.used
                .insert(name.clone(), path(&outline.mapped(|point| Point::new(point.x, -point.y))));
        }
        name
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

/// What a page needs to mark a sounding note: its measure, when it begins, how long it lasts.
fn attributes(note: NoteId) -> String {
    let pitch = note.pitch.map_or_else(String::new, |pitch| format!(" data-pitch=\"{pitch}\""));
    format!(
        " class=\"note\" data-measure=\"{}\" data-staff=\"{}\" data-at=\"{}\" data-length=\"{}\"{pitch}",
        note.measure, note.staff, note.at, note.length
    )
}

fn path(outline: &Outline) -> String {
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

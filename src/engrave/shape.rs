//! What is drawn: a list of placed shapes, in staff spaces, y downwards.

use super::glyphs::Glyph;
use super::glyphs::outline::{Bounds, Outline, Point};
use super::text::Text;

/// What is drawn at a place.
#[derive(Debug, Clone, PartialEq)]
pub enum Ink {
    /// A sign at its origin, enlarged in both directions.
    Glyph {
        /// The sign.
        glyph: Glyph,
        /// Its origin.
        at: Point,
        /// How much wider and higher than in the staff.
        scale: (f64, f64),
    },
    /// Words.
    Text(Text),
    /// A filled rectangle.
    Rectangle(Bounds),
    /// A filled curve, such as a beam or a tie.
    Fill(Outline),
}

/// What a shape is, for those who check or mark it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Kind {
    StaffLine,
    Barline,
    Brace,
    Clef,
    KeySignature,
    Meter,
    Head,
    Rest,
    Ledger,
    Stem,
    Flag,
    Beam,
    Accidental,
    Dot,
    Articulation,
    Tie,
    Tuplet,
    Chord,
    Ending,
    Rehearsal,
    Words,
    BarNumber,
    Heading,
}

/// The note of the score that a head stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteId {
    /// Index of its measure in the score.
    pub measure: usize,
    /// Its staff, from the top of the system, from 0.
    pub staff: usize,
    /// Ticks from the start of its measure.
    pub at: i64,
    /// How many ticks it lasts.
    pub length: i64,
    /// Its written pitch as a MIDI number; none for slashes and rests.
    pub pitch: Option<i16>,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// What is drawn.
    pub ink: Ink,
    /// What it is.
    pub kind: Kind,
    /// The note or rest that it stands for.
    pub note: Option<NoteId>,
    /// The rectangle around it.
    pub bounds: Bounds,
}

impl Shape {
    pub(super) fn glyph(kind: Kind, glyph: Glyph, x: f64, y: f64) -> Shape {
        Shape::stretched(kind, glyph, x, y, (1.0, 1.0))
    }

    pub(super) fn stretched(kind: Kind, glyph: Glyph, x: f64, y: f64, scale: (f64, f64)) -> Shape {
        let of = glyph.bounds();
        let bounds = Bounds::new(
            x + of.x0 * scale.0,
            y - of.y1 * scale.1,
            x + of.x1 * scale.0,
            y - of.y0 * scale.1,
        );
        Shape { ink: Ink::Glyph { glyph, at: Point::new(x, y), scale }, kind, note: None, bounds }
    }

    pub(super) fn rectangle(kind: Kind, x0: f64, y0: f64, x1: f64, y1: f64) -> Shape {
        let bounds = Bounds::new(x0, y0, x1, y1);
        Shape { ink: Ink::Rectangle(bounds), kind, note: None, bounds }
    }

    pub(super) fn fill(kind: Kind, outline: Outline) -> Shape {
        let bounds = outline.bounds();
        Shape { ink: Ink::Fill(outline), kind, note: None, bounds }
    }

    pub(super) fn text(kind: Kind, text: Text) -> Shape {
        let bounds = text.bounds();
        Shape { ink: Ink::Text(text), kind, note: None, bounds }
    }

    pub(super) fn of(mut self, note: NoteId) -> Shape {
        self.note = Some(note);
        self
    }

    /// The same, smaller or larger around the origin.
    pub(super) fn scaled(mut self, by: f64) -> Shape {
        let scaled = |bounds: Bounds| {
            Bounds::new(bounds.x0 * by, bounds.y0 * by, bounds.x1 * by, bounds.y1 * by)
        };
        self.bounds = scaled(self.bounds);
        match &mut self.ink {
            Ink::Glyph { at, scale, .. } => {
                *at = Point::new(at.x * by, at.y * by);
                *scale = (scale.0 * by, scale.1 * by);
            }
            Ink::Text(text) => {
                text.at = Point::new(text.at.x * by, text.at.y * by);
                text.size *= by;
            }
            Ink::Rectangle(bounds) => *bounds = scaled(*bounds),
            Ink::Fill(outline) => *outline = outline.placed(0.0, 0.0, by),
        }
        self
    }

    /// The same, moved.
    pub(super) fn moved(mut self, dx: f64, dy: f64) -> Shape {
        let moved = |bounds: Bounds| {
            Bounds::new(bounds.x0 + dx, bounds.y0 + dy, bounds.x1 + dx, bounds.y1 + dy)
        };
        self.bounds = moved(self.bounds);
        match &mut self.ink {
            Ink::Glyph { at, .. } => *at = Point::new(at.x + dx, at.y + dy),
            Ink::Text(text) => text.at = Point::new(text.at.x + dx, text.at.y + dy),
            Ink::Rectangle(bounds) => *bounds = moved(*bounds),
            Ink::Fill(outline) => *outline = outline.placed(dx, dy, 1.0),
        }
        self
    }
}

/// A drawn page, or a part of one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// How wide it is, in staff spaces.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// What is on it, in the order in which it is drawn.
    pub shapes: Vec<Shape>,
}

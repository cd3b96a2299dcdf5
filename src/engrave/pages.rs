//! Sheets one after the other on the pages of a paper.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::glyphs::outline::Bounds;
use super::rules::{HEADING_GAP, SYSTEM_GAP};
use super::shape::{Drawing, Kind, Shape};
use super::text::{Face, Text};

/// A paper. One staff space is 1.75 mm, a staff 7 mm high: common practice for parts on a stand.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI A).
    Letter,
}

/// Points to a staff space: 1.75 mm.
pub const SPACE: f64 = 1.75 * 72.0 / 25.4;

impl Paper {
    /// All of them.
    pub const ALL: [Paper; 2] = [Paper::A4, Paper::Letter];

    /// What lessons call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }

    /// Width and height in points.
    #[must_use]
    pub const fn points(self) -> (f64, f64) {
        match self {
            Paper::A4 => (595.276, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }

    /// Width and height in staff spaces.
    fn spaces(self) -> (f64, f64) {
        let (width, height) = self.points();
        (width / SPACE, height / SPACE)
    }

    /// How wide music is on it.
    #[must_use]
    pub fn music_width(self) -> f64 {
        self.spaces().0 - 2.0 * SIDE
    }
}

/// White at the sides, above and below, where the number stands.
const SIDE: f64 = 8.5;
const TOP: f64 = 8.0;
const BOTTOM: f64 = 9.0;
/// White between two sheets on a page.
const SHEET_GAP: f64 = 7.0;

/// Something that stays together on a page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// How high it is.
    pub height: f64,
    /// Its shapes, from the top at zero.
    pub shapes: Vec<Shape>,
}

impl Block {
    /// Shapes with no white around them but what is between `top` and `bottom`.
    pub(super) fn of(shapes: Vec<Shape>, top: f64, bottom: f64) -> Block {
        let shapes = shapes.into_iter().map(|shape| shape.moved(0.0, -top));
        Block { height: bottom - top, shapes: shapes.collect() }
    }
}

/// Lays sheets onto pages. A sheet that fits into what is left of a page begins there; others begin
/// a new one. A first block, the heading, stays with the one after it.
#[must_use]
pub fn pages(title: &str, sheets: &[Vec<Block>], paper: Paper) -> Vec<Drawing> {
    let (width, height) = paper.spaces();
    let room = height - TOP - BOTTOM;
    let mut pages: Vec<Drawing> = Vec::new();
    let mut used = f64::INFINITY;
    for sheet in sheets {
        let blocks = joined(sheet);
        let whole: f64 =
            blocks.iter().map(|block| block.height + SYSTEM_GAP).sum::<f64>() - SYSTEM_GAP;
        let mut gap = SHEET_GAP;
        if used + gap + whole > room {
            used = f64::INFINITY;
        }
        for block in blocks {
            if used + gap + block.height > room {
                pages.push(Drawing { width, height, shapes: Vec::new() });
                used = 0.0;
                gap = 0.0;
            }
            let y = TOP + used + gap;
            // What is higher than a page is made smaller.
            let scale = (room / block.height).min(1.0);
            let place = |shape: Shape| {
                let shape = if scale < 1.0 { shape.scaled(scale) } else { shape };
                shape.moved(SIDE, y)
            };
            if let Some(page) = pages.last_mut() {
                page.shapes.extend(block.shapes.into_iter().map(place));
            }
            used += gap + block.height * scale;
            gap = SYSTEM_GAP;
        }
    }
    let count = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        page.shapes.extend(footer(title, index + 1, count, width, height));
    }
    pages
}

/// The heading joined to the first system.
fn joined(sheet: &[Block]) -> Vec<Block> {
    let [heading, first, rest @ ..] = sheet else { return sheet.to_vec() };
    let mut both = heading.clone();
    let y = heading.height + if heading.height > 0.0 { HEADING_GAP } else { 0.0 };
    both.shapes.extend(first.shapes.iter().cloned().map(|shape| shape.moved(0.0, y)));
    both.height = y + first.height;
    std::iter::once(both).chain(rest.iter().cloned()).collect()
}

/// The lesson's title at the left, the page's number at the right.
fn footer(title: &str, page: usize, pages: usize, width: f64, height: f64) -> Vec<Shape> {
    let y = height - BOTTOM / 2.0;
    let number = Text::new(format!("{page} / {pages}"), Face::Regular, 2.0, 0.0, y);
    let room = width - 2.0 * SIDE - number.width() - 2.0;
    let title =
        super::wrapped(title, Face::Italic, 2.0, room).into_iter().next().unwrap_or_default();
    let title = Text::new(title, Face::Italic, 2.0, SIDE, y);
    let at = width - SIDE - number.width();
    let number = Shape::text(Kind::Words, number).moved(at, 0.0);
    vec![Shape::text(Kind::Words, title), number]
}

/// The rectangle around shapes.
pub(super) fn around(shapes: &[Shape]) -> Bounds {
    shapes.iter().fold(Bounds::EMPTY, |all, shape| all.union(shape.bounds))
}

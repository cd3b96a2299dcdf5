//! The figure of a triplet, with its bracket where no beam holds the notes together.

use super::glyphs::outline::Bounds;
use super::shape::{Kind, Shape};
use super::text::{Face, Text};

const SIZE: f64 = 2.0;
const LINE: f64 = 0.14;

/// Notes of a group, from the left edge of the first to the right edge of the last.
#[derive(Debug, Clone, Copy)]
pub(super) struct Group {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) above: bool,
    pub(super) bracket: bool,
}

/// A figure over all things that are in its way.
pub(super) fn tuplet(group: Group, things: &[Bounds]) -> Vec<Shape> {
    let mut text = Text::new("3", Face::BoldItalic, SIZE, 0.0, 0.0);
    let width = text.width();
    let middle = (group.from + group.to) / 2.0;
    text.at.x = middle - width / 2.0;
    let range =
        if group.bracket { (group.from, group.to) } else { (middle - width, middle + width) };
    let crossed =
        things.iter().filter(|thing| thing.x0 < range.1 + 0.1 && thing.x1 > range.0 - 0.1);
    let height = SIZE * 0.65;
    let y = if group.above {
        let top = crossed.map(|thing| thing.y0).fold(-2.0, f64::min);
        top - 0.45
    } else {
        let bottom = crossed.map(|thing| thing.y1).fold(2.0, f64::max);
        bottom + 0.45 + height
    };
    text.at.y = y;
    let mut shapes = vec![Shape::text(Kind::Tuplet, text)];
    if group.bracket {
        let line = y - height / 2.0 + 0.05;
        let hook = if group.above { line + 0.85 } else { line - 0.85 };
        let half = LINE / 2.0;
        let gap = width / 2.0 + 0.3;
        for (x0, x1) in [(group.from, middle - gap), (middle + gap, group.to)] {
            if x1 > x0 {
                shapes.push(Shape::rectangle(Kind::Tuplet, x0, line - half, x1, line + half));
            }
        }
        for x in [group.from + half, group.to - half] {
            let (top, bottom) = (line.min(hook) - half, line.max(hook));
            shapes.push(Shape::rectangle(Kind::Tuplet, x - half, top, x + half, bottom));
        }
    }
    shapes
}

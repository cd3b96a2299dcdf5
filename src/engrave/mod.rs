//! Notes on paper become a drawing: where every head, stem, beam and word stands.
//!
//! [`music`](self) bar by bar, `columns` what begins together, `breaks` which bars share a line,
//! `spacing` and `system` where they stand, `stems`, `ties`, `tuplets`, `above` what joins and
//! accompanies them. Lengths are staff spaces. `svg` and `pdf` draw the result; they know no music.

pub mod glyphs;
pub mod pages;
pub mod pdf;
pub mod shape;
pub mod svg;
pub mod text;

mod above;
mod barlines;
mod breaks;
mod cell;
mod columns;
mod directions;
mod music;
mod pen;
mod rules;
mod spacing;
mod staff;
mod stems;
mod symbol;
mod system;
mod ties;
mod tuplets;
mod vertical;

#[cfg(test)]
mod tests;

use columns::Columns;
use music::Music;
use pages::{Block, around};
use pen::Pen;
use rules::{BARS_A_SYSTEM, HEADING_GAP, SYSTEM_GAP};
use shape::{Drawing, Kind, Shape};
use system::{System, draw, lay_out, width};
use text::{Face, Text};

use crate::codec::musicxml::score::Score;

/// Draws a score: its heading, then a block for each system. [`pages::pages`] lays them onto
/// paper.
#[must_use]
pub fn blocks(score: &Score, width: f64) -> Vec<Block> {
    let heading = heading(score, width);
    let bottom = around(&heading).y1.max(0.0);
    let systems = systems(score, width).into_iter();
    let systems = systems.map(|system| Block::of(system.shapes, system.top, system.bottom));
    std::iter::once(Block::of(heading, 0.0, bottom)).chain(systems).collect()
}

/// Blocks on one page that is as long as they need, so many staff spaces wide.
#[must_use]
pub fn stacked(blocks: &[Block], width: f64) -> Drawing {
    let mut page = Drawing { width, height: 0.0, shapes: Vec::new() };
    let mut gap = 0.0;
    for (index, block) in blocks.iter().enumerate() {
        let y = page.height + gap;
        page.shapes.extend(block.shapes.iter().cloned().map(|shape| shape.moved(0.0, y)));
        page.height = y + block.height;
        gap = match index {
            0 if page.shapes.is_empty() => 0.0,
            0 => HEADING_GAP,
            _ => SYSTEM_GAP,
        };
    }
    page
}

/// The room that braces take at the left.
const BRACE_ROOM: f64 = 1.6;

fn systems(score: &Score, available: f64) -> Vec<System> {
    let music = Music::of(score);
    let bars: Vec<Columns<'_>> =
        music.bars.iter().enumerate().map(|(measure, bar)| Columns::of(bar, measure)).collect();
    if bars.is_empty() || music.clefs.is_empty() {
        return Vec::new();
    }
    let indent = if music.parts.iter().any(|part| part.len() > 1) { BRACE_ROOM } else { 0.0 };
    let available = (available - indent).max(1.0);
    let lines = breaks::lines(&music, &bars, available);
    let systems = lines.into_iter().map(|line| {
        let bars = &bars[line];
        let counted = bars.iter().filter(|bar| bar.bar.number.is_some()).count();
        // A line of fewer bars is as long as they would be among others.
        let share = number(counted.min(BARS_A_SYSTEM)) / number(BARS_A_SYSTEM);
        let wanted = width(&music, bars, 1.0).max(available * share).min(available);
        let frame = lay_out(&music, bars, wanted);
        let right = frame.right;
        let system = draw(&music, &frame);
        // A bar that is too dense for any line is made smaller.
        let scale = (available / right).min(1.0);
        placed(system, indent, if scale > 0.999 { 1.0 } else { scale })
    });
    systems.collect()
}

fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

fn placed(system: System, indent: f64, scale: f64) -> System {
    let shapes = system.shapes.into_iter().map(|shape| shape.scaled(scale).moved(indent, 0.0));
    System { shapes: shapes.collect(), top: system.top * scale, bottom: system.bottom * scale }
}

/// The title in the middle, the arranger at the right under it.
fn heading(score: &Score, width: f64) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let mut y = 0.0;
    for line in wrapped(&score.title, Face::Bold, 3.6, width) {
        y += 3.7;
        let line = Pen::line(Kind::Heading, Face::Bold, 3.6, &line);
        let x = ((width - line.width) / 2.0).max(0.0);
        shapes.extend(line.shapes.into_iter().map(|shape| shape.moved(x, y)));
    }
    for line in
        score.arranger.iter().flat_map(|arranger| wrapped(arranger, Face::Regular, 2.2, width))
    {
        y += 2.8;
        let mut text = Text::new(line, Face::Regular, 2.2, 0.0, y);
        text.at.x = (width - text.width()).max(0.0);
        shapes.push(Shape::text(Kind::Heading, text));
    }
    shapes
}

/// Words in lines that are no wider than a page.
pub(crate) fn wrapped(words: &str, face: Face, size: f64, width: f64) -> Vec<String> {
    let measured = |line: &str| Text::new(line, face, size, 0.0, 0.0).width();
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        if let (Some(longer), Some(last)) =
            (longer.filter(|longer| measured(longer) <= width), lines.last_mut())
        {
            *last = longer;
            continue;
        }
        let mut line = String::new();
        for character in word.chars() {
            line.push(character);
            if measured(&line) > width && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::take(&mut line));
                line.push(character);
            }
        }
        lines.push(line);
    }
    lines
}

//! What stands over the first staff of a system, row by row: chord symbols, the brackets of
//! endings, rehearsal letters with words and tempo. Each row is as low as what is under it lets it.

use super::glyphs::Glyph;
use super::glyphs::outline::Bounds;
use super::music::{Above, Music};
use super::rules::ROW_GAP;
use super::shape::{Kind, Shape};
use super::stems::{Stemmed, beamed};
use super::system::Frame;
use super::text::{Face, Text};
use crate::codec::musicxml::score::{Beam, EndingKind, NoteValue, Swing};

/// The line of chord symbols where nothing is in the way.
const CHORD_LINE: f64 = -3.9;
const ENDING_HEIGHT: f64 = 2.3;
const LINE: f64 = 0.15;

/// All rows.
pub(super) fn above(music: &Music, frame: &Frame<'_>, staff: &[Shape]) -> Vec<Shape> {
    let mut sky: Vec<Bounds> =
        staff.iter().filter(|shape| shape.bounds.y0 < -1.9).map(|shape| shape.bounds).collect();
    let mut shapes = Vec::new();
    let mut settle = |row: Vec<Vec<Shape>>, line: f64, gap: f64, sky: &mut Vec<Bounds>| {
        let y = row.iter().map(|group| free(group, sky, gap)).fold(line, f64::min);
        for shape in row.into_iter().flatten() {
            let shape = shape.moved(0.0, y);
            sky.push(shape.bounds);
            shapes.push(shape);
        }
    };
    settle(bar_number(frame), -2.6, 0.35, &mut sky);
    settle(chords(frame), CHORD_LINE, ROW_GAP, &mut sky);
    settle(endings(music, frame), -3.4, 0.5, &mut sky);
    settle(marks(frame), -4.2, 0.9, &mut sky);
    shapes
}

/// How high a group's line must be so that it is free of what is under it.
fn free(group: &[Shape], sky: &[Bounds], gap: f64) -> f64 {
    let mut y = f64::INFINITY;
    for shape in group {
        let own = shape.bounds;
        let under = sky.iter().filter(|other| other.x0 < own.x1 + 0.4 && other.x1 > own.x0 - 0.4);
        y = under.map(|other| other.y0 - gap - own.y1).fold(y, f64::min);
    }
    y
}

/// The number of the system's first bar, but for the first of all.
fn bar_number(frame: &Frame<'_>) -> Vec<Vec<Shape>> {
    let Some(first) = frame.bars.first() else { return Vec::new() };
    let number =
        first.bar.number.as_ref().filter(|number| first.measure > 0 && number.as_str() != "1");
    let text = number.map(|number| Text::new(number.as_str(), Face::Italic, 1.7, 0.0, 0.0));
    text.map(|text| vec![vec![Shape::text(Kind::BarNumber, text)]]).unwrap_or_default()
}

fn chords(frame: &Frame<'_>) -> Vec<Vec<Shape>> {
    let bars = frame.bars.iter().zip(&frame.places);
    let symbols = bars.flat_map(|(bar, place)| {
        bar.symbols.iter().map(move |(at, symbol)| (place.x(bar, *at), symbol))
    });
    symbols
        .map(|(x, symbol)| symbol.shapes.iter().cloned().map(|shape| shape.moved(x, 0.0)).collect())
        .collect()
}

/// Brackets over endings: the line above, a hook at the left, the passes under it.
fn endings(music: &Music, frame: &Frame<'_>) -> Vec<Vec<Shape>> {
    let mut row = Vec::new();
    let mut open: Option<(f64, Option<String>)> = None;
    if let Some(first) = frame.bars.first() {
        open = continues(music, first.measure).then(|| (frame.places[0].left, None));
    }
    let mut draw = |from: f64, to: f64, text: Option<String>, closes: bool| {
        let (top, half) = (-ENDING_HEIGHT, LINE / 2.0);
        let mut group = vec![Shape::rectangle(Kind::Ending, from, top - half, to, top + half)];
        if text.is_some() {
            group.push(Shape::rectangle(Kind::Ending, from, top, from + LINE, 0.0));
        }
        if closes {
            group.push(Shape::rectangle(Kind::Ending, to - LINE, top, to, 0.0));
        }
        let text = text.map(|text| Text::new(text, Face::Semibold, 1.9, from + 0.6, top + 1.75));
        group.extend(text.map(|text| Shape::text(Kind::Ending, text)));
        row.push(group);
    };
    for (bar, place) in frame.bars.iter().zip(&frame.places) {
        if let Some(text) = &bar.bar.ending {
            open = Some((place.left + 0.3, Some(text.clone())));
        }
        if let (Some(kind), Some((from, text))) = (bar.bar.ending_stop, open.clone()) {
            draw(from, place.line + place.lines_width, text, kind == EndingKind::Stop);
            open = None;
        }
    }
    if let (Some((from, text)), Some(last)) = (open, frame.places.last()) {
        draw(from, last.line + last.lines_width, text, false);
    }
    row
}

/// Whether an ending that began before a bar has not stopped yet.
fn continues(music: &Music, measure: usize) -> bool {
    let before = music.bars[..measure].iter().rev();
    for bar in before {
        if bar.ending_stop.is_some() {
            return false;
        }
        if bar.ending.is_some() {
            return true;
        }
    }
    false
}

/// Rehearsal letters, words and tempo, from the left edge of their bar.
fn marks(frame: &Frame<'_>) -> Vec<Vec<Shape>> {
    let mut row: Vec<Vec<Shape>> = Vec::new();
    let mut right = f64::NEG_INFINITY;
    for (index, (bar, place)) in frame.bars.iter().zip(&frame.places).enumerate() {
        let start = if index == 0 { 0.0 } else { place.left };
        let group = bar_marks(&bar.bar.above);
        let bounds = group.iter().fold(Bounds::EMPTY, |bounds, shape| bounds.union(shape.bounds));
        if group.is_empty() {
            continue;
        }
        // What does not fit behind the marks before it moves on, and back from the right edge.
        let x = start.max(right + 1.0).min((frame.right - bounds.x1).max(right + 1.0));
        right = x + bounds.x1;
        row.push(group.into_iter().map(|shape| shape.moved(x, 0.0)).collect());
    }
    row
}

fn bar_marks(above: &Above) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let mut x = 0.0;
    if let Some(name) = &above.rehearsal {
        let text = Text::new(name.as_str(), Face::Bold, 2.6, 0.55, 0.0);
        let right = 1.1 + text.width();
        let (top, bottom) = (-2.25, 0.55);
        shapes.push(Shape::text(Kind::Rehearsal, text));
        for (x0, y0, x1, y1) in [
            (0.0, top, right, top + LINE),
            (0.0, bottom - LINE, right, bottom),
            (0.0, top, LINE, bottom),
            (right - LINE, top, right, bottom),
        ] {
            shapes.push(Shape::rectangle(Kind::Rehearsal, x0, y0, x1, y1));
        }
        x = right + 1.2;
    }
    for words in &above.words {
        let text = Text::new(words.as_str(), Face::Italic, 2.2, x, 0.0);
        x += text.width() + 1.0;
        shapes.push(Shape::text(Kind::Words, text));
    }
    if let Some(Swing::Ratio(first, second)) = above.swing.filter(|swing| *swing != Swing::Straight)
    {
        x = swing_sign(&mut shapes, x, (first, second)) + 1.2;
    }
    if let Some((beat, dotted, per_minute)) = &above.tempo {
        x = small_note(&mut shapes, x, *beat, *dotted);
        let text = Text::new(format!("= {per_minute}"), Face::Regular, 2.2, x + 0.45, 0.0);
        shapes.push(Shape::text(Kind::Words, text));
    }
    shapes
}

const SMALL: f64 = 0.72;

/// A note as it stands in a tempo.
fn small_note(shapes: &mut Vec<Shape>, x: f64, value: NoteValue, dotted: bool) -> f64 {
    let head = super::cell::head_of(value, false);
    let y = -0.36;
    let shape = Shape::stretched(Kind::Words, head, x, y, (SMALL, SMALL));
    let mut right = shape.bounds.x1;
    let stem = right - 0.09;
    shapes.push(shape);
    if value < NoteValue::Whole {
        shapes.push(Shape::rectangle(
            Kind::Words,
            stem,
            y - 3.3 * SMALL,
            stem + 0.09,
            y - 0.16 * SMALL,
        ));
    }
    if value == NoteValue::Eighth {
        let flag = Shape::stretched(
            Kind::Words,
            Glyph::FlagEighthUp,
            stem,
            y - 3.3 * SMALL,
            (SMALL, SMALL),
        );
        right = flag.bounds.x1;
        shapes.push(flag);
    }
    if dotted {
        let dot = Shape::stretched(Kind::Words, Glyph::Dot, right + 0.2, y - 0.2, (SMALL, SMALL));
        right = dot.bounds.x1;
        shapes.push(dot);
    }
    right
}

/// Two beamed eighths are a quarter and an eighth of a triplet; other ratios are said in words.
fn swing_sign(shapes: &mut Vec<Shape>, x: f64, ratio: (u32, u32)) -> f64 {
    if ratio != (2, 1) {
        return x - 1.2;
    }
    let y = -0.36;
    let bracket = Text::new("(", Face::Regular, 2.6, x, 0.1);
    let mut x = x + bracket.width();
    shapes.push(Shape::text(Kind::Words, bracket));
    let beams = [[Beam::Begin], [Beam::End]];
    let stem = |index: usize, x: f64| Stemmed {
        x: x / SMALL + Glyph::HeadBlack.width() - 0.06,
        lowest: 0,
        highest: 0,
        up: true,
        head: Glyph::HeadBlack,
        levels: 1,
        beams: &beams[index],
    };
    let second = x + 1.45;
    for head in [x, second] {
        shapes.push(Shape::stretched(Kind::Words, Glyph::HeadBlack, head, y, (SMALL, SMALL)));
    }
    let group = [stem(0, x), stem(1, second)];
    shapes.extend(beamed(&group).into_iter().map(|shape| shrunk(shape, y)));
    x = second + Glyph::HeadBlack.width() * SMALL + 0.45;
    let equals = Text::new("=", Face::Regular, 2.2, x, 0.0);
    x += equals.width() + 0.45;
    shapes.push(Shape::text(Kind::Words, equals));
    let from = x;
    x = small_note(shapes, x, NoteValue::Quarter, false) + 0.5;
    x = small_note(shapes, x, NoteValue::Eighth, false);
    let three =
        Text::new("3", Face::BoldItalic, 1.5, f64::midpoint(from, x) - 0.65, y - 3.3 * SMALL - 0.2);
    shapes.push(Shape::text(Kind::Words, three));
    let close = Text::new(")", Face::Regular, 2.6, x + 0.15, 0.1);
    x += 0.15 + close.width();
    shapes.push(Shape::text(Kind::Words, close));
    x
}

fn shrunk(shape: Shape, y: f64) -> Shape {
    let small = |bounds: Bounds| {
        Bounds::new(
            bounds.x0 * SMALL,
            bounds.y0 * SMALL + y,
            bounds.x1 * SMALL,
            bounds.y1 * SMALL + y,
        )
    };
    match shape.ink {
        super::shape::Ink::Fill(outline) => Shape::fill(Kind::Words, outline.placed(0.0, y, SMALL)),
        _ => {
            let bounds = small(shape.bounds);
            Shape::rectangle(Kind::Words, bounds.x0, bounds.y0, bounds.x1, bounds.y1)
        }
    }
}

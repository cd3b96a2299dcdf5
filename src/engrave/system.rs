//! One line of music: its columns get their places, its staves their shapes and their distances.

use super::barlines::{Strip, barline, clef, key, meter, repeat_start};
use super::columns::{Columns, distance};
use super::glyphs::outline::Bounds;
use super::music::{BarEnd, Music};
use super::rules::{AFTER_BAR, BEFORE_BAR};
use super::shape::Shape;
use super::spacing::Spacing;
use super::staff::{BarPlace, staff_shapes};

/// A line of music, its first staff's middle line at zero.
#[derive(Debug, Default)]
pub(super) struct System {
    pub(super) shapes: Vec<Shape>,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// Where everything of a system stands from left to right.
pub(super) struct Frame<'a> {
    pub(super) bars: &'a [Columns<'a>],
    /// Clefs, key, meter, repeat sign of each staff.
    pub(super) prefix: Vec<Strip>,
    /// Bar by bar.
    pub(super) places: Vec<BarPlace>,
    /// The last bar line's right edge.
    pub(super) right: f64,
    /// Staff by staff, what stands at the bar line after each bar, from its left edge.
    pub(super) barlines: Vec<Vec<Strip>>,
}

/// How a bar's end looks, given the bar after it.
fn at_end<'a>(
    music: &Music,
    bar: &Columns<'a>,
    next: Option<&super::music::Bar>,
    within: bool,
    staff: usize,
) -> (Strip, f64) {
    let starts = next.is_some_and(|next| next.repeat_start && within);
    let end = match (bar.bar.end, next.is_some_and(|next| next.key_before.is_some())) {
        // A new key asks for a double bar.
        (BarEnd::Plain, true) => BarEnd::Double,
        (end, _) => end,
    };
    let mut strip = barline(end, starts);
    let lines = strip.width;
    if let Some(next) = next.filter(|next| next.key_before.is_some()) {
        let signature = key(next.key, next.key_before, music.clefs[staff]);
        append(&mut strip, signature, 0.7);
    }
    if let (true, Some((beats, unit))) = (within, next.and_then(|next| next.meter)) {
        append(&mut strip, meter(beats, unit), 0.7);
    }
    (strip, lines)
}

fn append(strip: &mut Strip, more: Strip, gap: f64) {
    if more.shapes.is_empty() {
        return;
    }
    let at = strip.width + gap;
    strip.shapes.extend(more.shapes.into_iter().map(|shape| shape.moved(at, 0.0)));
    strip.width = at + more.width;
}

/// Springs and distances of some bars, with the columns of each bar and of its end.
struct Columned {
    spacing: Spacing,
    /// The first column of each bar, and that of its bar line.
    bars: Vec<(usize, usize)>,
}

fn columned(bars: &[Columns<'_>], widths: &[f64]) -> Columned {
    let mut spacing = Spacing::default();
    let start = spacing.push(0.0);
    let mut columned = Vec::new();
    let staves = bars.first().map_or(0, |bar| bar.cells.len());
    // The last cell of each staff, with its column.
    let mut before: Vec<Option<(usize, usize, usize)>> = vec![None; staves];
    let mut symbol_before: Option<(usize, f64)> = None;
    let mut bar_line = start;
    for (index, bar) in bars.iter().enumerate() {
        let gap = index.checked_sub(1).map_or(0.0, |before| widths[before]);
        let first = bar_line + 1;
        for (place, _) in bar.times.iter().enumerate() {
            let spring = if place == 0 { 0.0 } else { bar.room(place - 1) };
            let column = spacing.push(spring);
            if place == 0 {
                spacing.apart(bar_line, column, gap + AFTER_BAR);
            }
        }
        let end_spring =
            if bar.times.is_empty() { bar.room(0).max(6.0) } else { bar.room(bar.times.len() - 1) };
        let end = spacing.push(end_spring);
        spacing.apart(bar_line, end, gap + 5.0);
        for (staff, cells) in bar.cells.iter().enumerate() {
            let mut earlier: Vec<(usize, Vec<_>)> = Vec::new();
            for (number, cell) in cells.iter().enumerate() {
                let column =
                    first + bar.times.iter().position(|time| *time == cell.at).unwrap_or(0);
                let boxes = cell.boxes(bar, staff);
                spacing.apart(bar_line, column, gap + cell.left() + 0.75);
                if let (Some((from, _)), Some(last)) = (earlier.last(), number.checked_sub(1)) {
                    spacing.apart(*from, column, cells[last].step());
                }
                // What reaches far to the left may pass over the cell before, and meet those
                // before it.
                for (from, from_boxes) in earlier.iter().rev().take(4) {
                    spacing.apart(*from, column, distance(from_boxes, &boxes));
                }
                // Heads of other staves stand in the order of time too.
                if column > first {
                    spacing.apart(column - 1, column, 0.6 - cell.first_head());
                }
                let right = boxes.iter().map(|(_, bounds)| bounds.x1).fold(0.0, f64::max);
                spacing.apart(column, end, right + 0.45);
                spacing.apart(column, end, cell.right() + BEFORE_BAR);
                earlier.push((column, boxes));
            }
            // A tie over the bar line needs its length too.
            if let (Some((bar_of, cell_of, column)), Some(next)) = (before[staff], cells.first()) {
                let tied = bars[bar_of].cells[staff][cell_of]
                    .chords
                    .iter()
                    .any(|chord| chord.notes.iter().any(|(note, _)| note.tie_start));
                let to = first + bar.times.iter().position(|time| *time == next.at).unwrap_or(0);
                if tied {
                    spacing.apart(column, to, bars[bar_of].cells[staff][cell_of].right() + 1.5);
                }
            }
            if let Some((column, _)) = earlier.last() {
                before[staff] = Some((index, cells.len() - 1, *column));
            }
        }
        for (at, symbol) in &bar.symbols {
            let column = first + bar.times.iter().position(|time| time == at).unwrap_or(0);
            if let Some((from, width)) = symbol_before {
                spacing.apart(from, column, width + 0.85);
            }
            spacing.apart(column, end, symbol.width * 0.6);
            symbol_before = Some((column, symbol.width));
        }
        columned.push((first, end));
        bar_line = end;
    }
    if let Some((column, width)) = symbol_before {
        spacing.apart(column, bar_line, width + 0.2);
    }
    Columned { spacing, bars: columned }
}

/// How wide some bars are at a force, with their bar lines and what stands before them.
pub(super) fn width(music: &Music, bars: &[Columns<'_>], force: f64) -> f64 {
    let (prefix, widths) = (prefix(music, &bars[0]), ends(music, bars));
    let inner: Vec<f64> = widths.iter().map(|(width, _)| *width).collect();
    let before = prefix.iter().map(|strip| strip.width).fold(0.0, f64::max);
    before + columned(bars, &inner).spacing.width(force) + inner.last().copied().unwrap_or(0.0)
}

/// How wide each bar's end is over all staves, and its lines alone.
fn ends(music: &Music, bars: &[Columns<'_>]) -> Vec<(f64, f64)> {
    let of_bar = |(index, bar): (usize, &Columns<'_>)| {
        let (next, within) = following(music, bars, index);
        let of_staff = (0..music.clefs.len()).map(|staff| at_end(music, bar, next, within, staff));
        of_staff.fold((0.0, 0.0), |(width, lines), (strip, own)| {
            (f64::max(width, strip.width), f64::max(lines, own))
        })
    };
    bars.iter().enumerate().map(of_bar).collect()
}

/// The bar after one of a system, and whether it is in the system.
fn following<'a>(
    music: &'a Music,
    bars: &[Columns<'_>],
    index: usize,
) -> (Option<&'a super::music::Bar>, bool) {
    let within = index + 1 < bars.len();
    (music.bars.get(bars[index].measure + 1), within)
}

/// Clef, key, meter, a repeat's start: aligned over all staves.
fn prefix(music: &Music, first: &Columns<'_>) -> Vec<Strip> {
    let mut strips: Vec<Strip> =
        music.clefs.iter().map(|_| Strip { shapes: Vec::new(), width: 0.55 }).collect();
    let mut align = |of: &dyn Fn(usize) -> Strip, gap: f64| {
        let from = strips.iter().map(|strip| strip.width).fold(0.0, f64::max);
        let mut right = from;
        for (staff, strip) in strips.iter_mut().enumerate() {
            strip.width = from;
            append(strip, of(staff), gap);
            right = right.max(strip.width);
        }
        for strip in &mut strips {
            strip.width = right;
        }
    };
    align(&|staff| clef(music.clefs[staff]), 0.0);
    align(&|staff| key(first.bar.key, None, music.clefs[staff]), 0.8);
    if let Some((beats, unit)) = first.bar.meter {
        align(&|_| meter(beats, unit), 0.8);
    }
    if first.bar.repeat_start {
        align(&|_| repeat_start(), 0.9);
    }
    strips
}

/// Places bars on a line. They fill `width` where it is given, and are as wide as they want to be
/// where not.
pub(super) fn lay_out<'a>(music: &Music, bars: &'a [Columns<'a>], width: f64) -> Frame<'a> {
    let prefix = prefix(music, &bars[0]);
    let ends = ends(music, bars);
    let inner: Vec<f64> = ends.iter().map(|(width, _)| *width).collect();
    let columned = columned(bars, &inner);
    let before = prefix.iter().map(|strip| strip.width).fold(0.0, f64::max);
    let after = inner.last().copied().unwrap_or(0.0);
    let places = columned.spacing.fit(width - before - after);
    let mut left = before;
    let mut bar_places = Vec::new();
    for (index, (first, end)) in columned.bars.iter().enumerate() {
        let columns = places[*first..*end].iter().map(|place| before + place).collect();
        let line = before + places[*end];
        bar_places.push(BarPlace { left, columns, line, lines_width: ends[index].1 });
        left = line + inner[index];
    }
    let barlines = bars.iter().enumerate().map(|(index, bar)| {
        let (next, within) = following(music, bars, index);
        (0..music.clefs.len()).map(|staff| at_end(music, bar, next, within, staff).0).collect()
    });
    Frame { bars, prefix, places: bar_places, right: left, barlines: barlines.collect() }
}

/// Draws a system.
pub(super) fn draw(music: &Music, frame: &Frame<'_>) -> System {
    let staves: Vec<Vec<Shape>> =
        (0..music.clefs.len()).map(|staff| staff_shapes(frame, staff)).collect();
    let distances = super::vertical::centres(music, &staves);
    let mut system = System::default();
    let above = super::above::above(music, frame, staves.first().map_or(&[], Vec::as_slice));
    for (shapes, centre) in staves.into_iter().zip(&distances) {
        system.shapes.extend(shapes.into_iter().map(|shape| shape.moved(0.0, *centre)));
    }
    system.shapes.extend(above);
    system.shapes.extend(super::vertical::joins(music, frame, &distances));
    let bounds =
        system.shapes.iter().fold(Bounds::EMPTY, |bounds, shape| bounds.union(shape.bounds));
    (system.top, system.bottom) = (bounds.y0.min(-2.0), bounds.y1.max(2.0));
    system
}

//! Stems, flags and beams. Heights are measured in the direction of the stems: upwards for stems
//! that go up, downwards for those that go down.

use super::glyphs::Glyph;
use super::glyphs::outline::{Contour, Outline, Point, Segment};
use super::rules::{BEAM, BEAM_STEP, HOOK, SHORT_STEM, STEM, STEM_LENGTH};
use super::shape::{Kind, Shape};
use crate::codec::musicxml::score::Beam;

/// A stem to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Stemmed<'a> {
    /// Its middle.
    pub(super) x: f64,
    /// Half spaces above the middle line.
    pub(super) lowest: i32,
    pub(super) highest: i32,
    pub(super) up: bool,
    pub(super) head: Glyph,
    pub(super) levels: usize,
    pub(super) beams: &'a [Beam],
}

impl Stemmed<'_> {
    /// The head at which the stem ends, and the one at which it begins.
    fn near(&self) -> f64 {
        f64::from(if self.up { self.highest } else { -self.lowest }) / 2.0
    }

    fn root(&self) -> f64 {
        f64::from(if self.up { self.lowest } else { -self.highest }) / 2.0
    }

    /// From heights to the page.
    fn y(&self, height: f64) -> f64 {
        if self.up { -height } else { height }
    }

    fn anchor(&self) -> f64 {
        self.head.stem_anchor(self.up).y.abs()
    }

    fn line(&self, end: f64) -> Shape {
        let root = self.root()
            + if self.head == Glyph::HeadCross { -self.anchor() } else { self.anchor() };
        let root = if self.head == Glyph::HeadCross { root + 2.0 * self.anchor() } else { root };
        let (one, other) = (self.y(root), self.y(end));
        let half = STEM / 2.0;
        Shape::rectangle(Kind::Stem, self.x - half, one.min(other), self.x + half, one.max(other))
    }
}

/// One stem with its flag.
pub(super) fn single(stem: &Stemmed<'_>) -> Vec<Shape> {
    let near = stem.near();
    // Away from the staff stems get shorter; towards it they reach its middle line.
    let shortened = if near > 0.0 { (near * 0.5).min(STEM_LENGTH - SHORT_STEM) } else { 0.0 };
    let least = match stem.levels {
        0 => SHORT_STEM,
        1 => 3.1,
        2 => 3.4,
        _ => 4.1,
    };
    let length = match stem.levels {
        3.. => 4.25,
        _ => (STEM_LENGTH - shortened).max(least),
    };
    let end = (near + length).max(0.0);
    let mut shapes = vec![stem.line(end)];
    let flag = match (stem.levels, stem.up) {
        (0, _) => None,
        (1, true) => Some(Glyph::FlagEighthUp),
        (1, false) => Some(Glyph::FlagEighthDown),
        (2, true) => Some(Glyph::FlagSixteenthUp),
        (2, false) => Some(Glyph::FlagSixteenthDown),
        (_, true) => Some(Glyph::FlagThirtySecondUp),
        (_, false) => Some(Glyph::FlagThirtySecondDown),
    };
    shapes
        .extend(flag.map(|flag| Shape::glyph(Kind::Flag, flag, stem.x - STEM / 2.0, stem.y(end))));
    shapes
}

/// A group under one beam.
pub(super) fn beamed(stems: &[Stemmed<'_>]) -> Vec<Shape> {
    let [first, .., last] = stems else { return stems.iter().flat_map(single).collect() };
    let line = beam_line(stems);
    let mut shapes: Vec<Shape> =
        stems.iter().map(|stem| stem.line(line.at(stem.x) + BEAM / 2.0 - 0.04)).collect();
    let half = STEM / 2.0;
    let beam = |x0: f64, x1: f64, level: usize| {
        let down = BEAM_STEP * f64::from(u32::try_from(level).unwrap_or(0));
        let edge =
            |x: f64, side: f64| Point::new(x, first.y(line.at(x) - down + side * BEAM / 2.0));
        let corners = [edge(x1, 1.0), edge(x1, -1.0), edge(x0, -1.0)];
        let segments = corners.into_iter().map(Segment::Line).collect();
        let contour = Contour { start: edge(x0, 1.0), segments };
        Shape::fill(Kind::Beam, Outline { contours: vec![contour] })
    };
    shapes.push(beam(first.x - half, last.x + half, 0));
    let most = stems.iter().map(|stem| stem.beams.len()).max().unwrap_or(0);
    for level in 1..most {
        let mut begin = None;
        for (index, stem) in stems.iter().enumerate() {
            let to_neighbour = |other: Option<&Stemmed<'_>>| {
                other.map_or(HOOK, |other| ((other.x - stem.x).abs() * 0.5).min(HOOK))
            };
            match stem.beams.get(level) {
                Some(Beam::Begin) => begin = Some(stem.x),
                Some(Beam::End) => {
                    let from = begin.take().unwrap_or(stem.x);
                    shapes.push(beam(from - half, stem.x + half, level));
                }
                Some(Beam::ForwardHook) => {
                    let reach = to_neighbour(stems.get(index + 1));
                    shapes.push(beam(stem.x - half, stem.x + reach, level));
                }
                Some(Beam::BackwardHook) => {
                    let before = index.checked_sub(1).and_then(|before| stems.get(before));
                    shapes.push(beam(stem.x - to_neighbour(before), stem.x + half, level));
                }
                _ => {}
            }
        }
    }
    shapes
}

/// The middle of the beam that is farthest from the heads.
#[derive(Debug, Clone, Copy)]
struct BeamLine {
    x: f64,
    height: f64,
    slope: f64,
}

impl BeamLine {
    fn at(self, x: f64) -> f64 {
        self.height + (x - self.x) * self.slope
    }
}

fn beam_line(stems: &[Stemmed<'_>]) -> BeamLine {
    let (first, last) = (&stems[0], &stems[stems.len() - 1]);
    let width = (last.x - first.x).max(0.1);
    let rise = rise(stems, width);
    let least = |stem: &Stemmed<'_>| {
        let room = match stem.levels.max(1) {
            1 => 3.0,
            2 => 3.25,
            levels => 1.75 + BEAM_STEP * f64::from(u32::try_from(levels).unwrap_or(4)),
        };
        // To the middle line at least, if only just.
        (stem.near() + room - BEAM / 2.0).max(-BEAM / 2.0)
    };
    let part = |stem: &Stemmed<'_>| (stem.x - first.x) / width;
    let need = stems.iter().map(|stem| least(stem) - part(stem) * rise);
    let need = need.fold(f64::NEG_INFINITY, f64::max);
    // Beams sit on a line, hang from one or lie across it; in a space their edges would leave
    // slivers of white.
    let is_good = |height: f64| {
        let within = (height.abs() < 2.4).then(|| (height * 4.0).round().rem_euclid(4.0));
        within.is_none_or(|quarter| (quarter - 2.0).abs() > 0.5)
    };
    let start = (need * 4.0 - 1e-6).ceil() / 4.0;
    let steps = (0..5_u32).map(|step| start + f64::from(step) * 0.25);
    let height = { steps }
        .find(|height| is_good(*height) && is_good(height + rise))
        .or_else(|| {
            (0..3_u32).map(|step| start + f64::from(step) * 0.25).find(|height| is_good(*height))
        })
        .unwrap_or(start);
    BeamLine { x: first.x, height, slope: rise / width }
}

/// How much a beam rises from its first stem to its last, in quarters of a space.
fn rise(stems: &[Stemmed<'_>], width: f64) -> f64 {
    let nears: Vec<f64> = stems.iter().map(Stemmed::near).collect();
    let (first, last) = (nears[0], nears[nears.len() - 1]);
    let inner = &nears[1..nears.len() - 1];
    // A note inside that is nearer to the beam than both ends makes it level.
    let ends = first.max(last);
    let is_hollow = inner.iter().any(|near| *near >= ends);
    let interval = (last - first).abs() * 2.0;
    let by_interval = match interval {
        ..0.5 => 0.0,
        ..1.5 => 0.25,
        ..2.5 => 0.5,
        ..3.5 => 0.75,
        ..6.5 => 1.0,
        _ => 1.25,
    };
    let by_width = match width {
        ..2.6 => 0.5,
        ..5.0 => 0.75,
        ..8.0 => 1.0,
        _ => 1.25,
    };
    // Far outside of the staff the heads' ledger lines want level beams.
    let outside = first.min(last) < -3.0;
    let amount: f64 = if is_hollow { 0.0 } else { f64::min(by_interval, by_width) };
    let amount = if outside { amount.min(0.5) } else { amount };
    if last > first { amount } else { -amount }
}

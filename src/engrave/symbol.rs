//! Chord symbols in one face: the root large, its quality smaller, alterations with the signs of
//! music, several of them one over the other in brackets.

use super::glyphs::Glyph;
use super::glyphs::outline::{Contour, Outline, Point, Segment};
use super::pen::Pen;
use super::shape::{Kind, Shape};
use super::text::Face;
use crate::codec::musicxml::{DegreeElement, DegreeKind, HarmonyElement};
use crate::theory::NoteName;

const ROOT: f64 = 2.9;
const QUALITY: f64 = 2.25;
const SMALL: f64 = 1.62;

/// Draws the symbol of a chord, or N.C.
pub(super) fn symbol(chord: &HarmonyElement) -> Pen {
    let mut pen = Pen::new(Kind::Chord, Face::Semibold);
    if chord.kind == "none" {
        pen.words("N.C.", QUALITY, 0.0);
        return pen;
    }
    pen.step(chord.root, ROOT);
    pen.quality(&quality(chord));
    if let Some(bass) = chord.bass {
        pen.words("/", ROOT, 0.0);
        pen.step(bass, QUALITY);
    }
    pen
}

/// All that follows the root: the text of the kind with the changes that are printed.
fn quality(chord: &HarmonyElement) -> String {
    let text = chord.text.clone().unwrap_or_default();
    let printed = chord.degrees.iter().filter(|degree| degree.printed).map(changed);
    printed.fold(text, |text, degree| text + &degree)
}

fn changed(degree: &DegreeElement) -> String {
    let sign = match (degree.kind, degree.alter) {
        (DegreeKind::Subtract, _) => "no",
        (DegreeKind::Add, 0) => "add",
        (_, ..=-1) => "b",
        (_, 1..) => "#",
        (_, 0) => "",
    };
    format!("{sign}{}", degree.value)
}

/// The part of a quality before its alterations, and these.
fn split(quality: &str) -> (String, Vec<String>) {
    let (base, rest) = match quality {
        "m7b5" => return ("\u{f8}7".to_owned(), Vec::new()),
        "dim7" => return ("\u{b0}7".to_owned(), Vec::new()),
        "dim" => return ("\u{b0}".to_owned(), Vec::new()),
        _ => {
            let at = quality.char_indices().find(|(at, sign)| {
                matches!(sign, 'b' | '#')
                    && quality[at + 1..].starts_with(|next: char| next.is_ascii_digit())
            });
            quality.split_at(at.map_or(quality.len(), |(at, _)| at))
        }
    };
    let mut alterations: Vec<String> = Vec::new();
    for character in rest.chars() {
        let begins = !character.is_ascii_digit()
            && alterations
                .last()
                .is_none_or(|last| last.ends_with(|end: char| end.is_ascii_digit()));
        match alterations.last_mut() {
            Some(last) if !begins => last.push(character),
            _ => alterations.push(character.to_string()),
        }
    }
    (base.to_owned(), alterations)
}

impl Pen {
    fn step(&mut self, step: NoteName, size: f64) {
        self.words(step.letter.char().encode_utf8(&mut [0; 4]), size, 0.0);
        let glyph = match step.alter {
            ..=-2 => Glyph::DoubleFlat,
            -1 => Glyph::Flat,
            0 => return,
            1 => Glyph::Sharp,
            2.. => Glyph::DoubleSharp,
        };
        self.sign(glyph, size * 0.92, size * 0.10);
    }

    fn quality(&mut self, quality: &str) {
        let (base, alterations) = split(quality);
        self.words(&base, QUALITY, 0.0);
        match alterations.as_slice() {
            [] => {}
            [one] => self.alteration(one, QUALITY, 0.0),
            several => self.stack(several),
        }
    }

    fn alteration(&mut self, alteration: &str, size: f64, raised: f64) {
        let (sign, number) = match alteration.chars().next() {
            Some('b') => (Some(Glyph::Flat), &alteration[1..]),
            Some('#') => (Some(Glyph::Sharp), &alteration[1..]),
            _ => (None, alteration),
        };
        if let Some(glyph) = sign {
            self.sign(glyph, size, raised);
        }
        self.words(number, size, raised);
    }

    /// The higher degree stands above.
    fn stack(&mut self, alterations: &[String]) {
        let number = |text: &String| {
            text.trim_start_matches(|sign: char| !sign.is_ascii_digit()).parse().unwrap_or(0_u32)
        };
        let mut sorted: Vec<&String> = alterations.iter().collect();
        sorted.sort_by_key(|text| number(text));
        let step = SMALL * 0.80;
        let count = f64::from(u32::try_from(sorted.len()).unwrap_or(2));
        let bottom = 0.62 - (count - 1.0) * step / 2.0;
        let (low, high) = (bottom - 0.28, bottom + (count - 1.0) * step + 1.36);
        self.bracket(low, high, true);
        let from = self.width;
        let mut right = from;
        let mut raised = bottom;
        for alteration in sorted {
            self.width = from;
            self.alteration(alteration, SMALL, raised);
            right = right.max(self.width);
            raised += step;
        }
        self.width = right;
        self.bracket(low, high, false);
    }

    /// A round bracket from a height to another.
    fn bracket(&mut self, low: f64, high: f64, opens: bool) {
        let (width, thick) = (0.42, 0.16);
        let from = self.width + 0.10;
        let x = |part: f64| from + if opens { part } else { width - part };
        let (bottom, top) = (-low, -high);
        let (third, middle) = ((high - low) * 0.28, width);
        let outline = Contour {
            start: Point::new(x(middle), top),
            segments: vec![
                Segment::Curve(
                    Point::new(x(-0.14), top + third),
                    Point::new(x(-0.14), bottom - third),
                    Point::new(x(middle), bottom),
                ),
                Segment::Curve(
                    Point::new(x(-0.14 + thick * 1.3), bottom - third),
                    Point::new(x(-0.14 + thick * 1.3), top + third),
                    Point::new(x(middle), top),
                ),
            ],
        };
        self.shapes.push(Shape::fill(Kind::Chord, Outline { contours: vec![outline] }));
        self.width = from + width + 0.06;
    }
}

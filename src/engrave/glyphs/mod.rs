//! The signs of music, drawn here: outlines with the points where other things join them.
//!
//! Units and origins follow the registration of the Standard Music Font Layout (SMuFL 1.4): a
//! staff space is one, y goes up, clefs stand on the line they name, heads and accidentals on
//! their own line from their left edge, flags begin at the end of their stem.

pub mod outline;

mod accidentals;
mod clefs;
mod digits;
mod flags;
mod heads;
mod pen;
mod rests;
mod signs;

use std::sync::LazyLock;

use outline::{Bounds, Outline, Point};

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Glyph {
    TrebleClef,
    BassClef,
    HeadBlack,
    HeadHalf,
    HeadWhole,
    HeadCross,
    HeadSlash,
    HeadOpenSlash,
    RestWhole,
    RestHalf,
    RestQuarter,
    RestEighth,
    RestSixteenth,
    RestThirtySecond,
    FlagEighthUp,
    FlagEighthDown,
    FlagSixteenthUp,
    FlagSixteenthDown,
    FlagThirtySecondUp,
    FlagThirtySecondDown,
    Sharp,
    Flat,
    Natural,
    DoubleSharp,
    DoubleFlat,
    Digit0,
    Digit1,
    Digit2,
    Digit3,
    Digit4,
    Digit5,
    Digit6,
    Digit7,
    Digit8,
    Digit9,
    Dot,
    Accent,
    StrongAccent,
    Fermata,
    Segno,
    Coda,
    Simile,
    DoubleSimile,
    Brace,
}

/// A sign as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Its curves.
    pub outline: Outline,
    /// The rectangle around them.
    pub bounds: Bounds,
}

static DRAWINGS: LazyLock<Vec<Drawing>> = LazyLock::new(|| {
    let drawing = |glyph: Glyph| {
        let outline = glyph.draw();
        let bounds = outline.bounds();
        Drawing { outline, bounds }
    };
    Glyph::ALL.into_iter().map(drawing).collect()
});

impl Glyph {
    /// All of them, in the order of their declaration.
    pub const ALL: [Glyph; 44] = {
        use Glyph::*;
        [
            TrebleClef,
            BassClef,
            HeadBlack,
            HeadHalf,
            HeadWhole,
            HeadCross,
            HeadSlash,
            HeadOpenSlash,
            RestWhole,
            RestHalf,
            RestQuarter,
            RestEighth,
            RestSixteenth,
            RestThirtySecond,
            FlagEighthUp,
            FlagEighthDown,
            FlagSixteenthUp,
            FlagSixteenthDown,
            FlagThirtySecondUp,
            FlagThirtySecondDown,
            Sharp,
            Flat,
            Natural,
            DoubleSharp,
            DoubleFlat,
            Digit0,
            Digit1,
            Digit2,
            Digit3,
            Digit4,
            Digit5,
            Digit6,
            Digit7,
            Digit8,
            Digit9,
            Dot,
            Accent,
            StrongAccent,
            Fermata,
            Segno,
            Coda,
            Simile,
            DoubleSimile,
            Brace,
        ]
    };

    /// How it is drawn.
    #[must_use]
    pub fn drawing(self) -> &'static Drawing {
        &DRAWINGS[self as usize]
    }

    /// The rectangle around it, y upwards.
    pub(crate) fn bounds(self) -> Bounds {
        self.drawing().bounds
    }

    /// How wide it is.
    pub(crate) fn width(self) -> f64 {
        self.bounds().x1
    }

    /// Where the side of a stem joins a head: the right edge of one that goes up, the left edge of
    /// one that goes down.
    pub(crate) fn stem_anchor(self, up: bool) -> Point {
        let width = self.width();
        match (self, up) {
            (Glyph::HeadCross, true) => Point::new(width, 0.44),
            (Glyph::HeadCross, false) => Point::new(0.0, -0.44),
            (Glyph::HeadSlash | Glyph::HeadOpenSlash, true) => Point::new(width, 0.98),
            (Glyph::HeadSlash | Glyph::HeadOpenSlash, false) => Point::new(0.0, -0.98),
            (_, true) => Point::new(width, 0.16),
            (_, false) => Point::new(0.0, -0.16),
        }
    }

    /// The figure of a time signature.
    pub(crate) fn digit(figure: u8) -> Glyph {
        Glyph::ALL[Glyph::Digit0 as usize + usize::from(figure % 10)]
    }

    fn draw(self) -> Outline {
        match self {
            Glyph::TrebleClef => clefs::treble(),
            Glyph::BassClef => clefs::bass(),
            Glyph::HeadBlack => heads::black(),
            Glyph::HeadHalf => heads::half(),
            Glyph::HeadWhole => heads::whole(),
            Glyph::HeadCross => heads::cross(),
            Glyph::HeadSlash => heads::slash(),
            Glyph::HeadOpenSlash => heads::open_slash(),
            Glyph::RestWhole => rests::whole(),
            Glyph::RestHalf => rests::half(),
            Glyph::RestQuarter => rests::quarter(),
            Glyph::RestEighth => rests::eighth(),
            Glyph::RestSixteenth => rests::sixteenth(),
            Glyph::RestThirtySecond => rests::thirty_second(),
            Glyph::FlagEighthUp => flags::eighth_up(),
            Glyph::FlagEighthDown => flags::eighth_down(),
            Glyph::FlagSixteenthUp => flags::sixteenth_up(),
            Glyph::FlagSixteenthDown => flags::sixteenth_down(),
            Glyph::FlagThirtySecondUp => flags::thirty_second_up(),
            Glyph::FlagThirtySecondDown => flags::thirty_second_down(),
            Glyph::Sharp => accidentals::sharp(),
            Glyph::Flat => accidentals::flat(),
            Glyph::Natural => accidentals::natural(),
            Glyph::DoubleSharp => accidentals::double_sharp(),
            Glyph::DoubleFlat => accidentals::double_flat(),
            Glyph::Digit0 => digits::digit(0),
            Glyph::Digit1 => digits::digit(1),
            Glyph::Digit2 => digits::digit(2),
            Glyph::Digit3 => digits::digit(3),
            Glyph::Digit4 => digits::digit(4),
            Glyph::Digit5 => digits::digit(5),
            Glyph::Digit6 => digits::digit(6),
            Glyph::Digit7 => digits::digit(7),
            Glyph::Digit8 => digits::digit(8),
            Glyph::Digit9 => digits::digit(9),
            Glyph::Dot => signs::dot(),
            Glyph::Accent => signs::accent(),
            Glyph::StrongAccent => signs::strong_accent(),
            Glyph::Fermata => signs::fermata(),
            Glyph::Segno => signs::segno(),
            Glyph::Coda => signs::coda(),
            Glyph::Simile => signs::simile(),
            Glyph::DoubleSimile => signs::double_simile(),
            Glyph::Brace => signs::brace(),
        }
    }
}

//! Lengths become note values that show where the beats are.
//!
//! A note is cut, and tied, where it would hide a stronger beat than the one it begins on. Some
//! exceptions are common practice: an off-beat note may lie across the beat in its middle
//! (eighth, quarter, eighth), and in common time a half note across the middle of the bar, or a
//! dotted half from the second beat to its end.

use crate::codec::musicxml::score::NoteValue;
use crate::problem::InternalError;
use crate::units::{Meter, Ticks};

/// A stretch of a bar as one note value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    /// From the start of the bar.
    pub(super) start: Ticks,
    pub(super) end: Ticks,
    pub(super) value: NoteValue,
    pub(super) dots: u8,
}

/// The note value of a length, with its dots; `None` where it takes two.
pub(super) fn value_of(length: Ticks) -> Option<(NoteValue, u8)> {
    NoteValue::ALL.into_iter().find_map(|value| {
        let plain = value.ticks().0;
        match length.0 {
            length if length == plain => Some((value, 0)),
            length if length * 2 == plain * 3 => Some((value, 1)),
            _ => None,
        }
    })
}

/// Cuts a stretch of a bar into note values.
pub(super) fn pieces(
    start: Ticks,
    end: Ticks,
    meter: Meter,
    is_rest: bool,
) -> Result<Vec<Piece>, InternalError> {
    let mut pieces = Vec::new();
    cut(start, end, &Cutting { meter, is_rest }, &mut pieces)?;
    Ok(pieces)
}

struct Cutting {
    meter: Meter,
    is_rest: bool,
}

/// The smallest step at which a bar is cut.
const STEP: i64 = 120;

fn cut(
    start: Ticks,
    end: Ticks,
    cutting: &Cutting,
    pieces: &mut Vec<Piece>,
) -> Result<(), InternalError> {
    if end <= start {
        return Ok(());
    }
    let value = value_of(end - start);
    let strongest = cutting.strongest_within(start, end);
    match (value, strongest) {
        (Some((value, dots)), at) if at.is_none_or(|at| cutting.allows(start, end, at, dots)) => {
            pieces.push(Piece { start, end, value, dots });
        }
        (_, Some(at)) => {
            cut(start, at, cutting, pieces)?;
            cut(at, end, cutting, pieces)?;
        }
        (_, None) => {
            let (start, end) = (start.0, end.0);
            let what = format!("no note value fills the bar from tick {start} to {end}");
            return Err(InternalError::new(what));
        }
    }
    Ok(())
}

impl Cutting {
    /// How strong a place in the bar is: 5 the bar line, 4 its middle, 3 a count, then halves.
    fn strength(&self, at: Ticks) -> u8 {
        let (middle, count) = match self.meter {
            Meter::FourFour | Meter::TwoTwo => (1920, 960),
            Meter::ThreeFour | Meter::TwoFour => (i64::MAX, 960),
            Meter::FiveFour => (2880, 960),
            Meter::SixEight => (1440, 480),
        };
        match at.0 {
            0 => 5,
            at if at == middle => 4,
            at if at % count == 0 => 3,
            at if at % (count / 2) == 0 => 2,
            at if at % (count / 4) == 0 => 1,
            _ => 0,
        }
    }

    /// The strongest place strictly inside; of several, the last for a note that begins on one as
    /// strong, which makes its first part longest, else the first.
    fn strongest_within(&self, start: Ticks, end: Ticks) -> Option<Ticks> {
        let first = (start.0.div_euclid(STEP) + 1) * STEP;
        let within = (0..).map(|step| Ticks(first + step * STEP)).take_while(|at| *at < end);
        let strongest = within.clone().map(|at| self.strength(at)).max()?;
        let mut strong = within.filter(|at| self.strength(*at) == strongest);
        if self.strength(start) >= strongest { strong.last() } else { strong.next() }
    }

    /// Whether one note value may hide the strongest place inside it.
    fn allows(&self, start: Ticks, end: Ticks, strongest: Ticks, dots: u8) -> bool {
        let begins = self.strength(start);
        let hides = self.strength(strongest);
        let is_compound = self.meter == Meter::SixEight;
        if is_compound && hides == 4 && end - start != self.meter.bar() {
            return false;
        }
        if self.is_rest {
            let shows_beats = hides < 3 || matches!(self.meter, Meter::FourFour | Meter::TwoTwo);
            let is_plain = dots == 0 || is_compound;
            return begins > hides && is_plain && (shows_beats || is_compound);
        }
        let is_across = start + end == strongest * 2 && begins + 1 == hides;
        let is_common = matches!(self.meter, Meter::FourFour | Meter::TwoTwo);
        let fills_the_bar = is_common && begins == 3 && dots == 1 && end == self.meter.bar();
        begins >= hides || is_across && (hides < 4 || is_common) || fills_the_bar
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut_at(start: i64, end: i64, meter: Meter, is_rest: bool) -> Vec<i64> {
        let pieces = pieces(Ticks(start), Ticks(end), meter, is_rest).unwrap();
        pieces.iter().map(|piece| (piece.end - piece.start).0).collect()
    }

    /// Rules as engraving handbooks give them (E. Gould, Behind Bars, on rhythm; from memory).
    #[test]
    fn notes_show_the_middle_of_the_bar_and_the_beats() {
        use Meter::{FiveFour, FourFour, SixEight, ThreeFour};
        for (start, end, meter, lengths) in [
            (0, 3840, FourFour, &[3840][..]),
            (0, 2880, FourFour, &[2880]),
            (960, 2880, FourFour, &[1920]),
            (960, 3840, FourFour, &[2880]),
            (960, 3360, FourFour, &[960, 1440]),
            (2880, 3840, FourFour, &[960]),
            (480, 1440, FourFour, &[960]),
            (1440, 2400, FourFour, &[480, 480]),
            (480, 1920, FourFour, &[480, 960]),
            (0, 1440, FourFour, &[1440]),
            (1920, 3360, FourFour, &[1440]),
            (0, 2400, FourFour, &[1920, 480]),
            (1440, 3840, FourFour, &[480, 1920]),
            (240, 720, FourFour, &[480]),
            (0, 2880, ThreeFour, &[2880]),
            (960, 2880, ThreeFour, &[1920]),
            (480, 2880, ThreeFour, &[480, 1920]),
            (0, 4800, FiveFour, &[2880, 1920]),
            (1920, 3840, FiveFour, &[960, 960]),
            (0, 2880, SixEight, &[2880]),
            (0, 1920, SixEight, &[1440, 480]),
            (480, 1440, SixEight, &[960]),
            (960, 1920, SixEight, &[480, 480]),
        ] {
            assert_eq!(cut_at(start, end, meter, false), lengths, "{start}..{end} in {meter}");
        }
    }

    #[test]
    fn rests_show_every_beat_but_halves_of_common_time() {
        use Meter::{FourFour, SixEight, ThreeFour};
        for (start, end, meter, lengths) in [
            (0, 1920, FourFour, &[1920][..]),
            (960, 2880, FourFour, &[960, 960]),
            (480, 1920, FourFour, &[480, 960]),
            (0, 1440, FourFour, &[960, 480]),
            (960, 2880, ThreeFour, &[960, 960]),
            (1440, 2880, SixEight, &[1440]),
        ] {
            assert_eq!(cut_at(start, end, meter, true), lengths, "{start}..{end} in {meter}");
        }
    }

    #[test]
    fn every_stretch_is_cut_into_values_that_fill_it() {
        for meter in Meter::ALL {
            let steps = meter.bar().0 / STEP;
            for start in 0..steps {
                for end in start + 1..=steps {
                    for is_rest in [false, true] {
                        let pieces =
                            pieces(Ticks(start * STEP), Ticks(end * STEP), meter, is_rest).unwrap();
                        let mut at = Ticks(start * STEP);
                        for piece in pieces {
                            assert_eq!(piece.start, at);
                            let value = value_of(piece.end - piece.start);
                            assert_eq!(value, Some((piece.value, piece.dots)));
                            at = piece.end;
                        }
                        assert_eq!(at, Ticks(end * STEP));
                    }
                }
            }
        }
    }
}

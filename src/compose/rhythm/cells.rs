//! The small rhythms that a phrase is filled with.
//!
//! Each is written beat by beat: `x` begins a note, `.` goes on with it (or rests at the start of a
//! phrase); two signs to a beat are eighth notes, three a triplet, four sixteenths. Weights are the
//! shares, per thousand, of half bars of improvised solos (Weimar Jazz Database, 201 solos in swing,
//! `tests/facts/line_patterns.tsv`); those of three beats are the same kinds of beats put together,
//! those of six eighths are our own judgement.

use crate::units::{Meter, Ticks};

use super::Rhythm;

/// A small rhythm.
#[derive(Debug)]
pub(super) struct Cell {
    /// Where its notes begin, beat by beat.
    pub(super) beats: &'static str,
    /// The first grade that has it.
    pub(super) rhythm: Rhythm,
    /// How often it is taken, against the others of the same length.
    pub(super) weight: f64,
}

const fn cell(rhythm: Rhythm, weight: f64, beats: &'static str) -> Cell {
    Cell { beats, rhythm, weight }
}

use Rhythm::{OffBeats, Sixteenths, Ties, Triplets};

/// Two quarters.
static TWO_BEATS: [Cell; 30] = [
    cell(OffBeats, 197.0, "xx xx"),
    cell(OffBeats, 55.0, "x. xx"),
    cell(OffBeats, 46.0, "xx x."),
    cell(OffBeats, 39.0, ".x xx"),
    cell(OffBeats, 38.0, "x. x."),
    cell(OffBeats, 33.0, ".. xx"),
    cell(OffBeats, 16.0, ".. x."),
    cell(OffBeats, 14.0, "x. .."),
    cell(Ties, 40.0, ".. .x"),
    cell(Ties, 26.0, "xx .."),
    cell(Ties, 29.0, "x. .x"),
    cell(Ties, 28.0, "xx .x"),
    cell(Ties, 15.0, ".x x."),
    cell(Ties, 13.0, ".x .x"),
    cell(Triplets, 22.0, "xxx xx"),
    cell(Triplets, 19.0, "xx xxx"),
    cell(Triplets, 15.0, "xxx xxx"),
    cell(Triplets, 11.0, ".. xxx"),
    cell(Triplets, 9.0, ".x xxx"),
    cell(Triplets, 9.0, "xxx x."),
    cell(Triplets, 5.5, "x. xxx"),
    cell(Triplets, 5.0, "xx .xx"),
    cell(Triplets, 5.0, ".xx xx"),
    cell(Triplets, 4.0, "xxx .x"),
    cell(Sixteenths, 19.0, "xxxx xxxx"),
    cell(Sixteenths, 8.5, "xxxx xx"),
    cell(Sixteenths, 7.0, "xx xxxx"),
    cell(Sixteenths, 7.0, ".. xxxx"),
    cell(Sixteenths, 5.4, "xxxx x."),
    cell(Sixteenths, 3.0, "x.xx xx"),
];

/// Three quarters. None divides the three beats into two halves (a note on the second half of the
/// second beat without one on that beat or on the next), so that a waltz stays one.
static THREE_BEATS: [Cell; 24] = [
    cell(OffBeats, 60.0, "xx xx xx"),
    cell(OffBeats, 30.0, "x. xx xx"),
    cell(OffBeats, 24.0, "xx xx x."),
    cell(OffBeats, 20.0, "x. x. xx"),
    cell(OffBeats, 18.0, "xx x. xx"),
    cell(OffBeats, 16.0, "x. xx x."),
    cell(OffBeats, 14.0, "xx x. x."),
    cell(OffBeats, 12.0, "x. x. x."),
    cell(OffBeats, 12.0, ".x xx xx"),
    cell(OffBeats, 10.0, ".. xx xx"),
    cell(OffBeats, 6.0, "x. .. xx"),
    cell(OffBeats, 6.0, "x. .. x."),
    cell(Ties, 14.0, "xx xx .x"),
    cell(Ties, 8.0, "xx xx .."),
    cell(Ties, 12.0, "x. xx .x"),
    cell(Ties, 10.0, ".x x. xx"),
    cell(Ties, 8.0, ".x xx x."),
    cell(Triplets, 12.0, "xxx xx xx"),
    cell(Triplets, 12.0, "xx xxx xx"),
    cell(Triplets, 12.0, "xx xx xxx"),
    cell(Triplets, 8.0, "x. xxx x."),
    cell(Sixteenths, 8.0, "xxxx xx xx"),
    cell(Sixteenths, 8.0, "x. xxxx xx"),
    cell(Sixteenths, 8.0, "xx x. xxxx"),
];

/// Two dotted quarters.
static SIX_EIGHTHS: [Cell; 20] = [
    cell(OffBeats, 40.0, "xxx xxx"),
    cell(OffBeats, 26.0, "x.x xxx"),
    cell(OffBeats, 24.0, "xxx x.x"),
    cell(OffBeats, 20.0, "xxx x.."),
    cell(OffBeats, 16.0, "x.. xxx"),
    cell(OffBeats, 14.0, "x.x x.x"),
    cell(OffBeats, 12.0, ".xx xxx"),
    cell(OffBeats, 12.0, "x.x x.."),
    cell(OffBeats, 10.0, "... xxx"),
    cell(OffBeats, 8.0, "x.. x.x"),
    cell(OffBeats, 6.0, "xxx xx."),
    cell(Ties, 16.0, "xxx .xx"),
    cell(Ties, 12.0, "x.x .xx"),
    cell(Ties, 8.0, "xx. .xx"),
    cell(Triplets, 10.0, "xx xxx"),
    cell(Triplets, 8.0, "xxx xx"),
    cell(Triplets, 6.0, "xx xx"),
    cell(Sixteenths, 8.0, "xxxxxx xxx"),
    cell(Sixteenths, 8.0, "xxx xxxxxx"),
    cell(Sixteenths, 6.0, "x.xxxx x.x"),
];

impl Cell {
    /// Where its notes begin, from its own beginning, in a meter.
    pub(super) fn onsets(&self, meter: Meter) -> Vec<Ticks> {
        let beat = if meter == Meter::SixEight { meter.beat() } else { Ticks::QUARTER };
        let mut onsets = Vec::new();
        let mut beat_start = Ticks::ZERO;
        for signs in self.beats.split(' ') {
            let each = beat.0 / i64::try_from(signs.len()).unwrap_or(1);
            let mut at = beat_start;
            for sign in signs.chars() {
                if sign == 'x' {
                    onsets.push(at);
                }
                at += Ticks(each);
            }
            beat_start += beat;
        }
        onsets
    }
}

/// How a bar is divided into cells, by their lengths in eighth notes: half bars, a waltz bar as a
/// whole, five as three and two.
pub(super) const fn cells_of_bar(meter: Meter) -> &'static [i64] {
    match meter {
        Meter::FourFour | Meter::TwoTwo => &[4, 4],
        Meter::ThreeFour | Meter::SixEight => &[6],
        Meter::FiveFour => &[6, 4],
        Meter::TwoFour => &[4],
    }
}

/// The cells of a length in eighth notes.
pub(super) fn vocabulary(meter: Meter, eighths: i64) -> &'static [Cell] {
    match (meter, eighths) {
        (Meter::SixEight, _) => &SIX_EIGHTHS,
        (_, 6) => &THREE_BEATS,
        _ => &TWO_BEATS,
    }
}

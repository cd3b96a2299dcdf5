//! Which bars share a line.

use std::ops::Range;

use super::columns::Columns;
use super::music::Music;
use super::rules::BARS_A_SYSTEM;
use super::system::width;

/// How far springs may be pressed before a line is divided.
const TIGHTEST: f64 = 0.62;

/// Lines of bars. Breaks that the score asks for are kept; what is too dense for a line is divided
/// into lines as even as can be.
pub(super) fn lines(music: &Music, bars: &[Columns<'_>], available: f64) -> Vec<Range<usize>> {
    let mut lines = Vec::new();
    let mut from = 0;
    while from < bars.len() {
        let to = (from + 1..bars.len()).find(|bar| bars[*bar].bar.new_system).unwrap_or(bars.len());
        let mut count = (to - from).div_ceil(BARS_A_SYSTEM * 2);
        let pieces = loop {
            let pieces = divided(from..to, count);
            let fits = |piece: &Range<usize>| {
                piece.len() == 1 || width(music, &bars[piece.clone()], TIGHTEST) <= available
            };
            if pieces.iter().all(fits) {
                break pieces;
            }
            count += 1;
        };
        lines.extend(pieces);
        from = to;
    }
    lines
}

/// A range in so many pieces, the longer ones first.
fn divided(range: Range<usize>, count: usize) -> Vec<Range<usize>> {
    let count = count.clamp(1, range.len().max(1));
    let (each, more) = (range.len() / count, range.len() % count);
    let mut from = range.start;
    let pieces = (0..count).map(|index| {
        let to = from + each + usize::from(index < more);
        let piece = from..to;
        from = to;
        piece
    });
    pieces.collect()
}

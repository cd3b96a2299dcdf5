//! Where in its register the line goes: up and down over the phrases of the form.

use crate::part::{Choice, PlayContext};
use crate::style::BassRegister;

/// A phrase, in bars of the form (common practice).
const PHRASE: u32 = 4;

/// How far from the register's centre a phrase may begin, in semitones below and above (our choice:
/// with what a line does around it, an octave and a half to two octaves are used).
const BELOW: i64 = 4;
const ABOVE: i64 = 8;

/// Where the line is at home in each bar, as MIDI note numbers: drawn for the beginning of each
/// phrase, and in the bars between on the way to where the next one begins.
pub(super) fn homes(context: PlayContext<'_>, register: BassRegister) -> Vec<u8> {
    let bars = &context.timeline.bars;
    let drawn = |(index, _): (usize, _)| {
        let mut random = Choice::BassContour.stream(context.seed, &bars[index]);
        let choices = usize::try_from(ABOVE + BELOW + 1).unwrap_or(1);
        (index, i64::try_from(random.below(choices)).unwrap_or(0) - BELOW)
    };
    let begins = bars.iter().enumerate().filter(|(index, bar)| {
        let before = index.checked_sub(1).and_then(|before| bars.get(before));
        bar.form_bar.is_multiple_of(PHRASE)
            || before.is_none_or(|before| before.kind.passage() != bar.kind.passage())
    });
    let knots: Vec<(usize, i64)> = begins.map(drawn).collect();
    let home = |index: usize| {
        let after = knots.partition_point(|(begins, _)| *begins <= index);
        let Some((from, offset)) = after.checked_sub(1).and_then(|at| knots.get(at)) else {
            return register.centre;
        };
        let way = knots.get(after).map_or(0, |(to, next)| {
            // Both count bars, of which there are some thousands at the most.
            let share = |bars: usize| i64::try_from(bars).unwrap_or(1);
            (next - offset) * share(index - from) / share(to - from)
        });
        let home = i64::from(register.centre) + offset + way;
        let inside = home.clamp(register.lowest.into(), register.highest.into());
        u8::try_from(inside).unwrap_or(register.centre)
    };
    (0..bars.len()).map(home).collect()
}

//! Choruses that look alike are written once, between repeat signs.
//!
//! Choruses that differ only towards their end get endings; what differs more is written out.
//! Within a chorus the form is written out, as it is heard.

use std::ops::Range;

use super::bars::NotatedBar;
use crate::arrange::{BarKind, Timeline};
use crate::codec::musicxml::score::EndingKind;

/// A bar to be written, with its repeat signs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct RepeatedBar {
    /// Index into the notated bars.
    pub(super) index: usize,
    pub(super) repeat_start: bool,
    /// How often the passage that ends here is played in all.
    pub(super) repeat_end: Option<usize>,
    /// The passes of an ending that begins here.
    pub(super) ending: Vec<u8>,
    /// An ending that stops here.
    pub(super) ending_stop: Option<(Vec<u8>, EndingKind)>,
}

/// The most passes that get an ending of their own; more would make a bracket of many numbers.
const MOST_PASSES: usize = 9;

/// The bars to be written, in order.
pub(super) fn repeats(timeline: &Timeline, bars: &[NotatedBar]) -> Vec<RepeatedBar> {
    let choruses = choruses(timeline, bars);
    let looks_like = |one: &Range<usize>, other: &Range<usize>| {
        one.len() == other.len() && common(bars, one, other) == one.len()
    };
    let mut runs: Vec<(Range<usize>, usize)> = Vec::new();
    for (position, chorus) in choruses.iter().enumerate() {
        let follows = position > 0 && choruses[position - 1].end == chorus.start;
        match runs.last_mut().filter(|(first, _)| follows && looks_like(first, chorus)) {
            Some((_, times)) => *times += 1,
            None => runs.push((chorus.clone(), 1)),
        }
    }
    let mut written: Vec<RepeatedBar> = Vec::new();
    let mut next = 0;
    let plain = |index| RepeatedBar { index, ..RepeatedBar::default() };
    if let Some(folded) = with_endings(bars, &choruses, &runs) {
        let all = choruses.first().map_or(0, |first| first.start)
            ..choruses.last().map_or(0, |last| last.end);
        written.extend((0..all.start).map(plain));
        written.extend(folded);
        written.extend((all.end..bars.len()).map(plain));
        return written;
    }
    for (chorus, times) in runs {
        written.extend((next..chorus.start).map(plain));
        let from = written.len();
        written.extend(chorus.clone().map(plain));
        let is_repeated = times > 1 || timeline.loops;
        if let (true, Some(first)) = (is_repeated, written.get_mut(from)) {
            first.repeat_start = true;
        }
        if let (true, Some(last)) = (is_repeated, written.last_mut()) {
            last.repeat_end = Some(times.max(2));
        }
        next = chorus.start + chorus.len() * times;
    }
    written.extend((next..bars.len()).map(plain));
    written
}

/// The notated bars of each chorus, with its answers and without its announcing bar.
fn choruses(timeline: &Timeline, bars: &[NotatedBar]) -> Vec<Range<usize>> {
    let place = |index: usize| {
        let bar = &timeline.bars[bars[index].bar];
        let is_form = matches!(bar.kind, BarKind::Chorus | BarKind::Answer);
        is_form.then_some((bar.chorus, bar.key))
    };
    let mut choruses: Vec<Range<usize>> = Vec::new();
    for index in 0..bars.len() {
        if place(index).is_none() {
            continue;
        }
        match choruses.last_mut() {
            Some(chorus) if chorus.end == index && place(chorus.start) == place(index) => {
                chorus.end = index + 1;
            }
            _ => choruses.push(index..index + 1),
        }
    }
    choruses
}

/// How many bars two choruses have in common from their start.
fn common(bars: &[NotatedBar], one: &Range<usize>, other: &Range<usize>) -> usize {
    let pairs = bars[one.clone()].iter().zip(&bars[other.clone()]);
    pairs.take_while(|(one, other)| one.looks_like(other)).count()
}

/// All choruses as one passage with two endings, the last time another than before; `None` where
/// they are not like that.
fn with_endings(
    bars: &[NotatedBar],
    choruses: &[Range<usize>],
    runs: &[(Range<usize>, usize)],
) -> Option<Vec<RepeatedBar>> {
    let [(first, times), (last, 1)] = runs else { return None };
    let is_whole = choruses.windows(2).all(|pair| pair[0].end == pair[1].start);
    let body = common(bars, first, last);
    let is_worth_it = first.len() == last.len() && body * 2 >= first.len();
    if !is_whole || !is_worth_it || *times >= MOST_PASSES {
        return None;
    }
    let passes: Vec<u8> = (1..).take(*times).collect();
    let last_pass = vec![passes.last()? + 1];
    let plain = |index| RepeatedBar { index, ..RepeatedBar::default() };
    let mut written: Vec<RepeatedBar> = first.clone().map(plain).collect();
    written.first_mut()?.repeat_start = true;
    written.get_mut(body)?.ending.clone_from(&passes);
    let end = written.last_mut()?;
    end.ending_stop = Some((passes, EndingKind::Stop));
    end.repeat_end = Some(2);
    let mut ending: Vec<RepeatedBar> = (last.start + body..last.end).map(plain).collect();
    ending.first_mut()?.ending.clone_from(&last_pass);
    ending.last_mut()?.ending_stop = Some((last_pass, EndingKind::Discontinue));
    written.append(&mut ending);
    Some(written)
}

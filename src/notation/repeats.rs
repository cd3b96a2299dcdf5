//! Choruses that look alike are written once, between repeat signs.
//!
//! Choruses that differ only towards their end get endings; what differs more is written out.
//! Where there is one chorus, the same is done with sections that follow themselves: an AABA is
//! written as A between repeat signs, B, A.

use std::ops::Range;

use super::bars::NotatedBar;
use crate::arrange::{BarKind, Timeline};
use crate::codec::musicxml::score::EndingKind;

/// A bar to be written, with its repeat signs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct RepeatedBar {
    /// Index into the notated bars.
    pub(super) index: usize,
    /// Other notated bars that are played from it.
    pub(super) copies: Vec<usize>,
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
    if let ([(chorus, 1)], false) = (runs.as_slice(), timeline.loops) {
        written.extend((0..chorus.start).map(plain));
        written.extend(with_repeated_sections(timeline, bars, chorus));
        written.extend((chorus.end..bars.len()).map(plain));
        return written;
    }
    for (chorus, times) in runs {
        written.extend((next..chorus.start).map(plain));
        let from = written.len();
        written.extend(chorus.clone().map(|index| RepeatedBar {
            copies: (1..times).map(|time| index + time * chorus.len()).collect(),
            ..plain(index)
        }));
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

/// A chorus whose sections that follow themselves are written once.
fn with_repeated_sections(
    timeline: &Timeline,
    bars: &[NotatedBar],
    chorus: &Range<usize>,
) -> Vec<RepeatedBar> {
    let name = |index: usize| timeline.bars[bars[index].bar].section.as_ref();
    let mut starts: Vec<usize> =
        chorus.clone().filter(|index| *index == chorus.start || name(*index).is_some()).collect();
    starts.push(chorus.end);
    let sections: Vec<Range<usize>> = starts.windows(2).map(|pair| pair[0]..pair[1]).collect();
    let mut written = Vec::new();
    let mut rest = sections.as_slice();
    while let [first, others @ ..] = rest {
        let alike = others.iter().take_while(|other| {
            other.len() == first.len() && common(bars, first, other) == first.len()
        });
        let times = 1 + alike.count();
        let pair = [first.clone(), others.first().cloned().unwrap_or_default()];
        let ended = || with_endings(bars, &pair, &[(pair[0].clone(), 1), (pair[1].clone(), 1)]);
        let has_name = |section: &Range<usize>| {
            section.start < chorus.end && name(section.start) == name(first.start)
        };
        if times > 1 {
            let from = written.len();
            written.extend(first.clone().map(|index| RepeatedBar {
                index,
                copies: (1..times).map(|time| index + time * first.len()).collect(),
                ..RepeatedBar::default()
            }));
            if let [first, ..] = &mut written[from..] {
                first.repeat_start = true;
            }
            if let Some(last) = written.last_mut() {
                last.repeat_end = Some(times);
            }
            rest = &rest[times..];
        } else if let Some(ended) =
            Some(&pair[1]).filter(|next| has_name(next)).and_then(|_| ended())
        {
            written.extend(ended);
            rest = &rest[2..];
        } else {
            written
                .extend(first.clone().map(|index| RepeatedBar { index, ..RepeatedBar::default() }));
            rest = others;
        }
    }
    written
}

/// The notated bars of each chorus, with its answers and without its announcing bar.
fn choruses(timeline: &Timeline, bars: &[NotatedBar]) -> Vec<Range<usize>> {
    let place = |index: usize| {
        let bar = &timeline.bars[bars[index].bar];
        (bar.kind.passage() == BarKind::Chorus).then_some((bar.chorus, bar.home))
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
    let plain = |index| RepeatedBar { index, ..RepeatedBar::default() };
    if is_whole && body == first.len() && last.len() > body {
        // The last chorus goes on where the others end.
        let others = choruses.get(1..).unwrap_or_default();
        let mut written: Vec<RepeatedBar> = (0..)
            .zip(first.clone())
            .map(|(offset, index)| RepeatedBar {
                copies: others.iter().map(|other| other.start + offset).collect(),
                ..plain(index)
            })
            .collect();
        written.first_mut()?.repeat_start = true;
        written.last_mut()?.repeat_end = Some(choruses.len());
        written.extend((last.start + body..last.end).map(plain));
        return Some(written);
    }
    let is_worth_it = first.len() == last.len() && body * 2 >= first.len();
    if !is_whole || !is_worth_it || *times >= MOST_PASSES {
        return None;
    }
    let passes: Vec<u8> = (1..).take(*times).collect();
    let last_pass = vec![passes.last()? + 1];
    let of_first = (0..).zip(first.clone()).map(|(offset, index)| {
        let others = if offset < body { choruses.len() } else { *times };
        let others = choruses.get(1..others).unwrap_or_default();
        RepeatedBar {
            copies: others.iter().map(|other| other.start + offset).collect(),
            ..plain(index)
        }
    });
    let mut written: Vec<RepeatedBar> = of_first.collect();
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

#[cfg(test)]
mod tests {
    use crate::chart::{ChartSource, FeelName, FormSource};
    use crate::codec::musicxml::score::{EndingKind, Item, Repeat};
    use crate::notation::{Heading, Reader, lead_sheet};
    use crate::units::Meter;

    /// The measures of a lead sheet, each with its signs.
    fn measures(form: &str, sections: &[(&str, &str)]) -> Vec<String> {
        let key = "C".parse().unwrap();
        let (name, meter, feel) = ("form", Meter::FourFour, FeelName::Swing);
        let source = ChartSource { name, key, meter, feel, form: FormSource::of(form), sections };
        let chart = source.parse().unwrap();
        let score = lead_sheet(&chart, None, key, Reader::Concert, &Heading::default()).unwrap();
        let signs = |item: &Item| match item {
            Item::Barline(line) => {
                let ending = line.ending.as_ref().map_or_else(String::new, |ending| {
                    let stops = if ending.kind == EndingKind::Start { "" } else { "/" };
                    format!("{stops}{:?}", ending.passes)
                });
                let repeat = match line.repeat {
                    Some(Repeat::Forward) => "|:",
                    Some(Repeat::Backward(_)) => ":|",
                    None => "",
                };
                ending + repeat
            }
            _ => String::new(),
        };
        let measure = |items: &Vec<Item>| items.iter().map(signs).collect::<String>();
        score.parts[0].measures.iter().map(|measure_| measure(&measure_.items)).collect()
    }

    #[test]
    fn a_section_that_follows_itself_is_written_once() {
        let sections = [("A", "| Dm7 | G7 | Cmaj7 | % |"), ("B", "| Fm7 | Bb7 | Ebmaj7 | G7 |")];
        assert_eq!(
            measures("A A B A", &sections),
            ["|:", "", "", ":|", "", "", "", "", "", "", "", ""]
        );
        assert_eq!(measures("A B", &sections).len(), 8);
    }
}

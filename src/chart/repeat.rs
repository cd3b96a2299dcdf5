//! Repeats and endings: in which order written bars are played.

use std::ops::Range;

use super::MOST_BARS;
use super::bars::WrittenBar;
use super::error::{Found, Problem};

/// The bars of a section in the order in which they are played, as indices of written bars; at
/// most [`MOST_BARS`].
pub(super) fn play_order(bars: &[WrittenBar<'_>]) -> Result<Vec<usize>, Found> {
    play_order_where(bars, |_| true)
}

/// The same, where a repeat is played out only if its closing bar says so; of others the last time
/// is played.
pub(super) fn play_order_where(
    bars: &[WrittenBar<'_>],
    is_repeated: impl Fn(usize) -> bool,
) -> Result<Vec<usize>, Found> {
    let mut order = Vec::new();
    let mut next = 0;
    // `:|` without `|:` goes back to the start of the section, or not at all.
    let mut may_lack_start = true;
    while next < bars.len() {
        let plain_end = (next..bars.len()).find(|&bar| has_repeat_sign(&bars[bar]));
        let Some(sign) = plain_end else {
            order.extend(next..bars.len());
            break;
        };
        let start = if bars[sign].opens.is_some() {
            order.extend(next..sign);
            sign
        } else if may_lack_start {
            next
        } else {
            let span = bars[sign].closes.clone().unwrap_or(bars[sign].span.clone());
            return Err(Found::at(span, Problem::RepeatUnopened));
        };
        let repeat = Repeat::read(bars, start)?;
        let closing = (start..repeat.next).find(|&bar| bars[bar].closes.is_some());
        repeat.play(&mut order, closing.is_none_or(&is_repeated))?;
        check_length(&order)?;
        next = repeat.next;
        may_lack_start = false;
    }
    check_length(&order)?;
    Ok(order)
}

fn check_length(order: &[usize]) -> Result<(), Found> {
    if order.len() > MOST_BARS { Err(Found::at(0..0, Problem::TooLong(MOST_BARS))) } else { Ok(()) }
}

fn has_repeat_sign(bar: &WrittenBar<'_>) -> bool {
    bar.opens.is_some() || bar.closes.is_some() || !bar.endings.is_empty()
}

/// A repeated passage.
struct Repeat {
    /// Played every time.
    body: Range<usize>,
    /// Played in the passes named.
    endings: Vec<Ending>,
    /// How often the body is played where there are no endings.
    times: u8,
    /// The first bar after it.
    next: usize,
}

struct Ending {
    passes: Vec<u8>,
    bars: Range<usize>,
    /// Where it stands in the text.
    span: Range<usize>,
}

impl Repeat {
    /// Reads the repeat that begins with bar `start`.
    fn read(bars: &[WrittenBar<'_>], start: usize) -> Result<Repeat, Found> {
        let unclosed = || {
            let span = bars[start].opens.clone().unwrap_or(bars[start].span.clone());
            Found::at(span, Problem::RepeatUnclosed)
        };
        let mut body = start..start;
        loop {
            let bar = bars.get(body.end).ok_or_else(unclosed)?;
            if bar.opens.is_some() && body.end > start {
                return Err(unclosed());
            }
            if !bar.endings.is_empty() {
                return Repeat::read_endings(bars, body);
            }
            body.end += 1;
            if bar.closes.is_some() {
                let times = bar.times.max(2);
                return Ok(Repeat { next: body.end, body, endings: Vec::new(), times });
            }
        }
    }

    /// Reads the endings after the body. Each but the last must lead back.
    fn read_endings(bars: &[WrittenBar<'_>], body: Range<usize>) -> Result<Repeat, Found> {
        let mut endings: Vec<Ending> = Vec::new();
        let mut next = body.end;
        while let Some(first) = bars.get(next).filter(|bar| !bar.endings.is_empty()) {
            let passes = first.endings.clone();
            let stop = (next + 1..bars.len())
                .find(|&bar| bars[bar].opens.is_some() || !bars[bar].endings.is_empty())
                .unwrap_or(bars.len());
            let close = (next..stop).find(|&bar| bars[bar].closes.is_some());
            let leads_to_ending = bars.get(stop).is_some_and(|bar| bar.opens.is_none());
            if close.is_none() && (endings.is_empty() || leads_to_ending) {
                return Err(Found::at(first.span.clone(), Problem::EndingOpen));
            }
            // A last ending just goes on: nothing says where it stops, and nothing has to.
            let end = close.unwrap_or(next) + 1;
            endings.push(Ending { passes, bars: next..end, span: first.span.clone() });
            next = end;
            if close.is_none() {
                break;
            }
        }
        Ok(Repeat { body, endings, times: 0, next })
    }

    /// Adds what is played, all times through or the last time only.
    fn play(&self, order: &mut Vec<usize>, all: bool) -> Result<(), Found> {
        let Some(last) = self.endings.last() else {
            for _ in 0..if all { self.times } else { 1 } {
                order.extend(self.body.clone());
                check_length(order)?;
            }
            return Ok(());
        };
        let passes = self.endings.iter().flat_map(|ending| &ending.passes).copied().max();
        let passes = passes.unwrap_or(1).max(2);
        for pass in if all { 1 } else { passes }..=passes {
            let mut of_pass = self.endings.iter().filter(|ending| ending.passes.contains(&pass));
            let Some(ending) = of_pass.next() else {
                return Err(Found::at(last.span.clone(), Problem::EndingMissing(pass)));
            };
            if let Some(second) = of_pass.next() {
                return Err(Found::at(second.span.clone(), Problem::EndingTwice(pass)));
            }
            order.extend(self.body.clone().chain(ending.bars.clone()));
            check_length(order)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::bars::written_bars;
    use super::super::token::{TokenKind, tokens};
    use super::*;

    fn played(text: &str) -> Result<String, Problem> {
        let (bars, errors) = written_bars(text, tokens(text).0);
        assert_eq!(errors, []);
        let order = play_order(&bars).map_err(|found| found.problem)?;
        let name = |bar: usize| match bars[bar].words[0].kind {
            TokenKind::Chord(name) => name,
            _ => "?",
        };
        Ok(order.into_iter().map(name).collect())
    }

    #[test]
    fn repeats_are_written_out() {
        for (text, order) in [
            ("|: C | D :|", "CDCD"),
            ("C | D :| E", "CDCDE"),
            ("A |: C | D :| E |: F :|", "ACDCDEFF"),
            ("|: C :|: D :|", "CCDD"),
            ("|: C | 1. D :| 2. E | F", "CDCEF"),
            ("|: C | 1. 2. D | E :| 3. F |]", "CDECDECF"),
            ("C | 1. D :| 2. E :| 3. F | G |: A :|", "CDCECFGAA"),
            ("|: C | 1. D :| 2. E :| F", "CDCEF"),
        ] {
            assert_eq!(played(text).as_deref(), Ok(order), "{text}");
        }
    }

    #[test]
    fn broken_repeats_are_told() {
        for (text, problem) in [
            ("|: C | D", Problem::RepeatUnclosed),
            ("|: C |: D :|", Problem::RepeatUnclosed),
            ("|: C :| D :|", Problem::RepeatUnopened),
            ("|: C | 1. D | 2. E :|", Problem::EndingOpen),
            ("|: C | 1. D :| E", Problem::EndingMissing(2)),
            ("|: C | 2. D :| 3. E", Problem::EndingMissing(1)),
            ("|: C | 1. D :| 1. E :| 2. F", Problem::EndingTwice(1)),
        ] {
            assert_eq!(played(text), Err(problem), "{text}");
        }
    }
}

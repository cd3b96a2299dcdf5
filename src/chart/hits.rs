//! What the whole band plays together: a row of counts under a section.

use super::error::{Found, Problem};
use crate::units::{Count, Meter, Ticks};

/// A bar in which the band plays together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BandHits {
    /// In order of time; may be empty in a break.
    pub hits: Vec<BandHit>,
    /// Whether all are silent otherwise: a stop, or a break for the soloist. Else the drummer keeps
    /// time.
    pub stop: bool,
}

impl BandHits {
    /// As it is written, without bar lines.
    #[must_use]
    pub fn shown(&self, meter: Meter) -> String {
        let count = meter.count().0;
        let hit = |hit: &BandHit| {
            let quarter = usize::try_from(hit.at.0 % count * 4 / count).unwrap_or_default();
            let part = ["", "e", "&", "a"].get(quarter).unwrap_or(&"");
            let [held, early] =
                [(hit.held, "_"), (hit.early, ">")].map(|(is, sign)| if is { sign } else { "" });
            format!("{}{part}{held}{early}", hit.at.0 / count + 1)
        };
        let stop = self.stop.then(|| "stop".to_owned());
        self.hits.iter().map(hit).chain(stop).collect::<Vec<_>>().join(" ")
    }
}

/// A stroke of the whole band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BandHit {
    /// From the start of the bar.
    pub at: Ticks,
    /// Held until the next one or the next chord; else short.
    pub held: bool,
    /// It takes the coming chord.
    pub early: bool,
}

/// Reads the hits of a section, bar by bar; none where the band plays as always.
///
/// Bars stand between bar lines. `1 2& 4&` are counts; behind one, `_` holds it, and `>` lets it take
/// the coming chord; `stop` silences what is not hit; `.` is a bar as always, `%` one like the bar
/// before.
pub(super) fn read(
    text: &str,
    meter: Meter,
    section_bars: usize,
) -> Result<Vec<Option<BandHits>>, Vec<Found>> {
    let mut bars: Vec<Option<BandHits>> = Vec::new();
    let mut errors = Vec::new();
    let mut at = 0;
    for piece in text.split_inclusive(['|', '\n']) {
        let (start, words) = (at, piece.trim_end_matches(['|', '\n']));
        at += piece.len();
        if words.trim().is_empty() {
            continue;
        }
        let before = bars.last().cloned();
        match bar(words, start, meter, before) {
            Ok(bar) => bars.push(bar),
            Err(found) => errors.extend(found),
        }
    }
    if errors.is_empty() && bars.len() > section_bars {
        let problem = Problem::TooManyHits { bars: bars.len(), section: section_bars };
        errors.push(Found::at(0..text.len(), problem));
    }
    bars.resize(section_bars, None);
    if errors.is_empty() { Ok(bars) } else { Err(errors) }
}

fn bar(
    words: &str,
    start: usize,
    meter: Meter,
    before: Option<Option<BandHits>>,
) -> Result<Option<BandHits>, Vec<Found>> {
    let mut hits = BandHits::default();
    let mut errors = Vec::new();
    let all = words.split_whitespace().count();
    let mut rest = words;
    while let Some(from) = rest.find(|sign: char| !sign.is_whitespace()) {
        let word = rest[from..].split_whitespace().next().unwrap_or_default();
        let begins = start + (words.len() - rest.len()) + from;
        rest = &rest[from + word.len()..];
        let span = begins..begins + word.len();
        match (word, &before) {
            ("." | "%", _) if all > 1 => errors.push(Found::at(span, Problem::HitsNotAlone)),
            (".", _) => return Ok(None),
            ("%", Some(before)) => return Ok(before.clone()),
            ("%", None) => errors.push(Found::at(span, Problem::NothingBefore)),
            ("stop", _) => hits.stop = true,
            _ => match hit(word, meter) {
                Some(hit) if hits.hits.last().is_none_or(|last| last.at < hit.at) => {
                    hits.hits.push(hit);
                }
                Some(_) => errors.push(Found::at(span, Problem::HitsOrder)),
                None => {
                    let problem = Problem::Hit { word: word.to_owned(), meter };
                    errors.push(Found::at(span, problem));
                }
            },
        }
    }
    if errors.is_empty() { Ok(Some(hits)) } else { Err(errors) }
}

fn hit(word: &str, meter: Meter) -> Option<BandHit> {
    let count = word.trim_end_matches(['_', '>']);
    let signs = &word[count.len()..];
    let [held, early] = ['_', '>'].map(|sign| signs.matches(sign).count());
    let at = count.parse::<Count>().ok()?.at(meter)?;
    (held <= 1 && early <= 1).then_some(BandHit { at, held: held == 1, early: early == 1 })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        let bars = read(text, Meter::FourFour, 6).unwrap();
        let bar = |bar: &Option<BandHits>| {
            bar.as_ref().map_or(".".to_owned(), |bar| bar.shown(Meter::FourFour))
        };
        bars.iter().map(bar).collect()
    }

    #[test]
    fn hits_are_counted_as_players_count() {
        assert_eq!(
            shown("| 1 2& | . | 4&>_ | % | 1 stop |"),
            ["1 2&", ".", "4&_>", "4&_>", "1 stop", "."]
        );
        assert_eq!(shown("stop\nstop"), ["stop", "stop", ".", ".", ".", "."]);
    }

    #[test]
    fn what_is_no_hit_is_told_with_its_bytes() {
        for (text, span) in [
            ("| 1 5 |", 4..5),
            ("| 2& 2 |", 5..6),
            ("| 1 . |", 4..5),
            ("| % |", 2..3),
            ("| 1 | two |", 6..9),
            ("| 1__ |", 2..5),
        ] {
            let errors = read(text, Meter::FourFour, 6).unwrap_err();
            assert_eq!(errors[0].span, span, "{text}");
        }
        assert!(read("1 | 1 | 1", Meter::FourFour, 2).is_err());
    }
}

//! What may change inside a tune: key, meter, feel, pace.

use std::fmt;
use std::str::FromStr;

use super::FeelName;
use crate::theory::Key;
use crate::units::Meter;

/// What holds in a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The key: its signature, and what Roman numerals count from.
    pub key: Key,
    /// The meter. Quarters last as long as in the chart's own meter.
    pub meter: Meter,
    /// How eighth notes are played.
    pub feel: FeelName,
    /// How fast it is, against the tempo that is asked for.
    pub pace: Pace,
}

/// What is other in a section than in its chart.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Within<'text> {
    /// The section's key.
    pub key: Option<Key>,
    /// Its meter.
    pub meter: Option<Meter>,
    /// How its eighth notes are played.
    pub feel: Option<FeelName>,
    /// How fast it is.
    pub pace: Option<Pace>,
    /// What the whole band plays together: counts, bar by bar.
    pub hits: Option<&'text str>,
}

impl Within<'_> {
    /// A chart's setting with what is other here.
    #[must_use]
    pub fn applied(&self, chart: Setting) -> Setting {
        Setting {
            key: self.key.unwrap_or(chart.key),
            meter: self.meter.unwrap_or(chart.meter),
            feel: self.feel.unwrap_or(chart.feel),
            pace: self.pace.unwrap_or(chart.pace),
        }
    }
}

/// A tempo in hundredths of the one that is asked for: one for all of a passage, or one that it
/// begins with and another that it comes to, evenly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    from: u16,
    to: u16,
}

/// The text is no pace.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is no share of the tempo\nwrite one between {min}% and {max}%, such as \"80%\", or two, \"100% to 70%\"", min = Pace::MIN, max = Pace::MAX)]
pub struct PaceError {
    text: String,
}

impl Default for Pace {
    fn default() -> Pace {
        Pace::STEADY
    }
}

impl Pace {
    /// The slowest: a quarter of the tempo, in hundredths.
    pub const MIN: u16 = 25;
    /// The fastest: four times the tempo, in hundredths.
    pub const MAX: u16 = 400;
    /// The tempo as it is asked for.
    pub const STEADY: Pace = Pace { from: 100, to: 100 };

    /// Slower to an end: to seven tenths (a matter of taste).
    pub const RITARDANDO: Pace = Pace { from: 100, to: 70 };

    /// One share of the tempo, in hundredths; `None` beyond [`Pace::MIN`] and [`Pace::MAX`].
    #[must_use]
    pub fn even(hundredths: u16) -> Option<Pace> {
        let pace = Pace { from: hundredths, to: hundredths };
        (Pace::MIN..=Pace::MAX).contains(&hundredths).then_some(pace)
    }

    /// Whether it stays one tempo.
    #[must_use]
    pub const fn is_even(self) -> bool {
        self.from == self.to
    }

    /// The share of the tempo after a part of the passage, from 0 at its start to 1 at its end.
    #[must_use]
    pub fn at(self, part: f64) -> f64 {
        let (from, to) = (f64::from(self.from), f64::from(self.to));
        (from + (to - from) * part) / 100.0
    }

    /// The tempo that it begins with.
    #[must_use]
    pub const fn start(self) -> Pace {
        Pace { from: self.from, to: self.from }
    }

    /// The tempo that it comes to.
    #[must_use]
    pub const fn end(self) -> Pace {
        Pace { from: self.to, to: self.to }
    }

    /// The pace of one of so many equal pieces, counted from 0.
    #[must_use]
    pub fn piece(self, index: usize, count: usize) -> Pace {
        let (index, count) = (i64::try_from(index).unwrap_or(0), i64::try_from(count).unwrap_or(1));
        let (from, to) = (i64::from(self.from), i64::from(self.to));
        let at = |index: i64| {
            let share = from + (to - from) * index / count.max(1);
            u16::try_from(share).unwrap_or(self.to)
        };
        Pace { from: at(index), to: at(index + 1) }
    }
}

impl fmt::Display for Pace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_even() {
            write!(f, "{}%", self.from)
        } else {
            write!(f, "{}% to {}%", self.from, self.to)
        }
    }
}

impl FromStr for Pace {
    type Err = PaceError;

    fn from_str(text: &str) -> Result<Pace, PaceError> {
        let share = |text: &str| {
            let share = text.trim().strip_suffix('%')?.trim().parse::<u16>().ok()?;
            (Pace::MIN..=Pace::MAX).contains(&share).then_some(share)
        };
        let pace = match text.split_once(" to ") {
            Some((from, to)) => share(from).zip(share(to)),
            None => share(text).map(|share| (share, share)),
        };
        let pace = pace.map(|(from, to)| Pace { from, to });
        pace.ok_or_else(|| PaceError { text: text.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pace_is_read_as_it_is_written() {
        for text in ["80%", "100% to 70%", "25% to 400%"] {
            assert_eq!(text.parse::<Pace>().unwrap().to_string(), text);
        }
        for text in ["", "80", "24%", "401%", "100% to", "to 70%", "80% - 70%", "-80%"] {
            assert!(text.parse::<Pace>().is_err(), "{text}");
        }
    }

    #[test]
    fn pieces_of_a_pace_lead_from_its_start_to_its_end() {
        let pace: Pace = "100% to 70%".parse().unwrap();
        let pieces: Vec<String> = (0..3).map(|index| pace.piece(index, 3).to_string()).collect();
        assert_eq!(pieces, ["100% to 90%", "90% to 80%", "80% to 70%"]);
        assert!((pace.at(0.5) - 0.85).abs() < 1e-9);
    }
}

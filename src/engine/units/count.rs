//! Places in a bar as players count them aloud.

use serde::Deserialize;

use super::{Meter, Ticks};

/// A place in a bar as it is counted: `1`, `2&`; sixteenths are `1e` and `1a`. Numbers count
/// quarters, in 6/8 eighths ([`Meter::count`]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Count {
    /// Counted from 1.
    number: u8,
    /// Quarters of a count after it, 0 to 3.
    quarter: u8,
}

/// The text is no place in a bar.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is no place in a bar: write a count (1 to 6) and, behind it, nothing, `&`, `e` or `a`"
)]
pub struct CountError(pub String);

impl Count {
    /// The time from the start of a bar, or `None` where the meter has no such count.
    #[must_use]
    pub fn at(self, meter: Meter) -> Option<Ticks> {
        let count = meter.count();
        let inside = self.number <= meter.counts();
        inside.then(|| {
            count * i64::from(self.number - 1) + Ticks(count.0 / 4 * i64::from(self.quarter))
        })
    }
}

impl std::str::FromStr for Count {
    type Err = CountError;
    fn from_str(text: &str) -> Result<Count, CountError> {
        let wrong = || CountError(text.to_owned());
        let mut letters = text.chars();
        let number = letters.next().and_then(|digit| digit.to_digit(10)).ok_or_else(wrong)?;
        let quarter = match letters.as_str() {
            "" => 0,
            "e" => 1,
            "&" => 2,
            "a" => 3,
            _ => return Err(wrong()),
        };
        let number = u8::try_from(number).map_err(|_| wrong())?;
        if (1..=6).contains(&number) { Ok(Count { number, quarter }) } else { Err(wrong()) }
    }
}

impl std::fmt::Display for Count {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let suffix = ["", "e", "&", "a"].get(usize::from(self.quarter)).unwrap_or(&"");
        write!(f, "{}{suffix}", self.number)
    }
}

impl<'de> Deserialize<'de> for Count {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Count, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_quarters_and_in_six_eight_eighths() {
        let and_of_two: Count = "2&".parse().unwrap();
        assert_eq!(and_of_two.at(Meter::FourFour), Some(Ticks(1440)));
        assert_eq!(and_of_two.at(Meter::TwoTwo), Some(Ticks(1440)));
        assert_eq!(and_of_two.at(Meter::SixEight), Some(Ticks(720)));
        let four: Count = "4".parse().unwrap();
        assert_eq!(four.at(Meter::ThreeFour), None);
    }

    #[test]
    fn what_is_shown_can_be_read_again_and_the_rest_is_an_error() {
        for text in ["1", "2&", "3e", "6a"] {
            assert_eq!(text.parse::<Count>().unwrap().to_string(), text);
        }
        for text in ["", "0", "7", "&", "1+", "2&&", "12", "é"] {
            assert!(text.parse::<Count>().is_err(), "{text}");
        }
    }
}

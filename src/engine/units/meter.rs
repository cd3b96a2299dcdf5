//! Meters.

use super::Ticks;

/// The meters that a chart can be in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Meter {
    /// Common time.
    FourFour,
    /// Waltz time.
    ThreeFour,
    /// Five quarters.
    FiveFour,
    /// Two dotted quarters.
    SixEight,
    /// Cut time: two halves.
    TwoTwo,
    /// Two quarters: a short bar in common time.
    TwoFour,
}

impl Meter {
    /// All of them, in the order in which messages list them.
    pub const ALL: [Meter; 6] = [
        Meter::FourFour,
        Meter::ThreeFour,
        Meter::FiveFour,
        Meter::SixEight,
        Meter::TwoTwo,
        Meter::TwoFour,
    ];

    /// The number above the line of the time signature.
    #[must_use]
    pub const fn numerator(self) -> u8 {
        match self {
            Meter::FourFour => 4,
            Meter::ThreeFour => 3,
            Meter::FiveFour => 5,
            Meter::SixEight => 6,
            Meter::TwoTwo | Meter::TwoFour => 2,
        }
    }

    /// The number below the line.
    #[must_use]
    pub const fn denominator(self) -> u8 {
        match self {
            Meter::FourFour | Meter::ThreeFour | Meter::FiveFour | Meter::TwoFour => 4,
            Meter::SixEight => 8,
            Meter::TwoTwo => 2,
        }
    }

    /// The tempo's beat: the quarter, in 6/8 the dotted quarter, in 2/2 the half.
    #[must_use]
    pub const fn beat(self) -> Ticks {
        match self {
            Meter::FourFour | Meter::ThreeFour | Meter::FiveFour | Meter::TwoFour => Ticks(960),
            Meter::SixEight => Ticks(1440),
            Meter::TwoTwo => Ticks(1920),
        }
    }

    /// How many of the tempo's beats fill a bar.
    #[must_use]
    pub const fn beats(self) -> u8 {
        match self {
            Meter::FourFour => 4,
            Meter::ThreeFour => 3,
            Meter::FiveFour => 5,
            Meter::SixEight | Meter::TwoTwo | Meter::TwoFour => 2,
        }
    }

    /// What a player counts aloud: quarters, in 6/8 eighths. Cut time is counted in quarters
    /// here, so that a rhythm of common time fits it as it stands.
    #[must_use]
    pub const fn count(self) -> Ticks {
        match self {
            Meter::SixEight => Ticks::EIGHTH,
            _ => Ticks::QUARTER,
        }
    }

    /// How many counts fill a bar: 4, 3, 5, 6, in cut time 4, and 2.
    #[must_use]
    pub const fn counts(self) -> u8 {
        match self {
            Meter::FourFour | Meter::TwoTwo => 4,
            Meter::ThreeFour => 3,
            Meter::FiveFour => 5,
            Meter::SixEight => 6,
            Meter::TwoFour => 2,
        }
    }

    /// One bar.
    #[must_use]
    pub const fn bar(self) -> Ticks {
        Ticks(self.beat().0 * self.beats() as i64)
    }
}

/// The meters of bars in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Meters<'a> {
    bars: &'a [Meter],
    after: Meter,
}

impl<'a> Meters<'a> {
    /// One for all bars.
    #[must_use]
    pub const fn constant(meter: Meter) -> Meters<'a> {
        Meters { bars: &[], after: meter }
    }

    /// One for each bar, and one for all bars after these.
    #[must_use]
    pub const fn new(bars: &'a [Meter], after: Meter) -> Meters<'a> {
        Meters { bars, after }
    }

    /// That of a bar, counted from 0.
    #[must_use]
    pub fn of_bar(self, bar: usize) -> Meter {
        self.bars.get(bar).copied().unwrap_or(self.after)
    }

    /// How long so many bars are, from one counted from 0.
    #[must_use]
    pub fn length(self, from: usize, count: u32) -> Ticks {
        let listed = self.bars.get(from..).unwrap_or_default().iter().take(count as usize);
        let rest = i64::from(count) - listed.clone().map(|_| 1).sum::<i64>();
        listed.map(|meter| meter.bar()).sum::<Ticks>() + self.after.bar() * rest
    }

    /// How many bars a time takes, a last one that is not full counted.
    #[must_use]
    pub fn count(self, length: Ticks) -> i64 {
        let (mut left, mut bars) = (length.0.max(0), 0);
        for meter in self.bars {
            if left == 0 {
                return bars;
            }
            left = (left - meter.bar().0).max(0);
            bars += 1;
        }
        let bar = self.after.bar().0;
        bars + left / bar + i64::from(left % bar > 0)
    }
}

impl std::fmt::Display for Meter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.numerator(), self.denominator())
    }
}

/// The text is none of the meters that a chart can be in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a meter that Countoff plays: use 4/4, 3/4, 5/4, 6/8, 2/2 or 2/4")]
pub struct MeterError(pub String);

impl std::str::FromStr for Meter {
    type Err = MeterError;
    fn from_str(text: &str) -> Result<Meter, MeterError> {
        Meter::ALL
            .into_iter()
            .find(|meter| meter.to_string() == text.trim())
            .ok_or_else(|| MeterError(text.to_owned()))
    }
}

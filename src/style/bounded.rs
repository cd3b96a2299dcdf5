//! Numbers with a range, as style files write them.

use schemars::JsonSchema;
use serde::de::Error;
use serde::{Deserialize, Serialize};

use crate::units::{Meter, Ticks};

/// A whole number from `LOW` to `HIGH`, both allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[schemars(inline)]
pub(super) struct Bounded<const LOW: u8, const HIGH: u8>(
    #[schemars(range(min = LOW, max = HIGH))] u8,
);

impl<const LOW: u8, const HIGH: u8> Bounded<LOW, HIGH> {
    /// The nearest number inside the range.
    #[must_use]
    pub(super) fn nearest(number: u8) -> Self {
        Bounded(number.clamp(LOW, HIGH))
    }

    /// The number.
    #[must_use]
    pub(super) const fn get(self) -> u8 {
        self.0
    }
}

impl<const LOW: u8, const HIGH: u8> Default for Bounded<LOW, HIGH> {
    /// The lowest number of the range.
    fn default() -> Self {
        Bounded(LOW)
    }
}

impl<'de, const LOW: u8, const HIGH: u8> Deserialize<'de> for Bounded<LOW, HIGH> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let number = i64::deserialize(deserializer)?;
        match u8::try_from(number) {
            Ok(number) if (LOW..=HIGH).contains(&number) => Ok(Bounded(number)),
            _ => Err(D::Error::custom(format_args!("{number} is outside {LOW} to {HIGH}"))),
        }
    }
}

/// How likely something is, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, JsonSchema)]
#[schemars(inline)]
pub(super) struct Probability(#[schemars(range(min = 0, max = 1))] f64);

impl Default for Probability {
    /// It always happens.
    fn default() -> Self {
        Probability(1.0)
    }
}

impl Probability {
    /// The number, 0 to 1.
    #[must_use]
    pub(super) const fn get(self) -> f64 {
        self.0
    }
}

impl<'de> Deserialize<'de> for Probability {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let number = f64::deserialize(deserializer)?;
        if (0.0..=1.0).contains(&number) {
            Ok(Probability(number))
        } else {
            Err(D::Error::custom(format_args!("a probability of {number} is outside 0 to 1")))
        }
    }
}

/// How often one of several is drawn against the others: above 0, at most 1000.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, JsonSchema)]
#[schemars(inline)]
pub(super) struct Weight(#[schemars(extend("exclusiveMinimum" = 0, "maximum" = 1000))] f64);

impl Weight {
    /// The number.
    #[must_use]
    pub(super) const fn get(self) -> f64 {
        self.0
    }
}

impl Default for Weight {
    fn default() -> Self {
        Weight(1.0)
    }
}

impl<'de> Deserialize<'de> for Weight {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let number = f64::deserialize(deserializer)?;
        if number > 0.0 && number <= 1000.0 {
            Ok(Weight(number))
        } else {
            Err(D::Error::custom(format_args!(
                "a weight of {number} is outside the range above 0 and up to 1000"
            )))
        }
    }
}

/// How long something lasts, in counts of the meter: 0.25 to 8, in steps of 0.25.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema)]
#[schemars(inline)]
pub(super) struct CountLength(
    /// Quarters of a count.
    #[schemars(with = "f64", range(min = 0.25, max = 8), extend("multipleOf" = 0.25))]
    u8,
);

impl CountLength {
    /// The length in a meter.
    #[must_use]
    pub(super) fn ticks(self, meter: Meter) -> Ticks {
        Ticks(meter.count().0 / 4 * i64::from(self.0))
    }
}

impl<'de> Deserialize<'de> for CountLength {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let counts = f64::deserialize(deserializer)?;
        let quarters =
            (1..=32_u8).find(|quarters| (f64::from(*quarters) / 4.0 - counts).abs() < 1e-9);
        quarters.map(CountLength).ok_or_else(|| {
            D::Error::custom(format_args!(
                "a length of {counts} counts is not one of 0.25, 0.5, 0.75, 1 and so on up to 8"
            ))
        })
    }
}

//! Numbers with limits. The limits are stated once, in the type: schema, check, message and help
//! come from there.

use std::num::NonZeroU32;

use schemars::JsonSchema;
use serde::de::Error;
use serde::{Deserialize, Serialize};

use crate::units::{Meter, Ticks};

/// What a whole number is kept as.
pub(crate) trait Whole: Copy {
    /// The lowest and the highest number that it can be.
    const LIMITS: (i64, i64);
    /// A number within these limits.
    fn of(number: i64) -> Self;
}

macro_rules! whole {
    ($($type:ident),*) => {$(
        impl Whole for $type {
            const LIMITS: (i64, i64) = ($type::MIN as i64, $type::MAX as i64);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "in limits")]
            fn of(number: i64) -> $type {
                number as $type
            }
        }
    )*};
}
whole!(u8, u16, u32);

impl Whole for NonZeroU32 {
    const LIMITS: (i64, i64) = (1, u32::MAX as i64);
    fn of(number: i64) -> NonZeroU32 {
        NonZeroU32::MIN.saturating_add(u32::of(number - 1))
    }
}

/// A whole number from `LOW` to `HIGH`, both allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[schemars(inline)]
pub(crate) struct Bounded<T, const LOW: i64, const HIGH: i64>(
    #[schemars(range(min = LOW, max = HIGH))] T,
);

impl<T: Whole, const LOW: i64, const HIGH: i64> Bounded<T, LOW, HIGH> {
    const FITS: () = assert!(T::LIMITS.0 <= LOW && LOW <= HIGH && HIGH <= T::LIMITS.1);

    /// A number that the program itself chooses; one outside the range does not compile.
    #[must_use]
    pub(crate) fn fixed<const NUMBER: i64>() -> Self {
        const { assert!(LOW <= NUMBER && NUMBER <= HIGH) };
        let () = Self::FITS;
        Bounded(T::of(NUMBER))
    }

    /// The number.
    #[must_use]
    pub(crate) fn get(self) -> T {
        self.0
    }
}

impl<T: Whole, const LOW: i64, const HIGH: i64> Default for Bounded<T, LOW, HIGH> {
    /// The lowest number of the range.
    fn default() -> Self {
        let () = Self::FITS;
        Bounded(T::of(LOW))
    }
}

impl<'de, T: Whole, const LOW: i64, const HIGH: i64> Deserialize<'de> for Bounded<T, LOW, HIGH> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let () = Self::FITS;
        let number = i64::deserialize(deserializer)?;
        if (LOW..=HIGH).contains(&number) {
            Ok(Bounded(T::of(number)))
        } else {
            Err(D::Error::custom(format_args!("{number} is outside {LOW} to {HIGH}")))
        }
    }
}

/// Defines a number with decimals by the keywords that its JSON schema has for its limits.
macro_rules! decimal {
    ($(#[$about:meta])* $name:ident, $low:tt: $minimum:literal, $high:tt: $maximum:literal) => {
        $(#[$about])*
        #[derive(
            Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, schemars::JsonSchema,
        )]
        #[schemars(inline)]
        pub(crate) struct $name(#[schemars(extend($low = $minimum, $high = $maximum))] f64);

        impl $name {
            /// The number.
            #[must_use]
            pub(crate) const fn get(self) -> f64 {
                self.0
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let limits = serde_json::json!({ $low: $minimum, $high: $maximum });
                $crate::schema::number_within(&limits, f64::deserialize(from)?).map($name)
            }
        }
    };
}
pub(crate) use decimal;

decimal! {
    /// How likely something is.
    Probability, "minimum": 0, "maximum": 1
}

impl Default for Probability {
    /// It always happens.
    fn default() -> Self {
        Probability(1.0)
    }
}

decimal! {
    /// How often one of several is drawn against the others.
    Weight, "exclusiveMinimum": 0, "maximum": 1000
}

impl Default for Weight {
    fn default() -> Self {
        Weight(1.0)
    }
}

/// How long something lasts, in counts of the meter: 0.25 to 8, in steps of 0.25.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema)]
#[schemars(inline)]
pub(crate) struct CountLength(
    /// Quarters of a count.
    #[schemars(with = "f64", range(min = 0.25, max = 8), extend("multipleOf" = 0.25))]
    u8,
);

impl CountLength {
    /// The length in a meter.
    #[must_use]
    pub(crate) fn ticks(self, meter: Meter) -> Ticks {
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

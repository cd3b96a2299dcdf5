//! Several places in a bar, and the meter that they are counted in.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::Error;
use toml::Spanned;

use super::{Count, StyleError, StyleFile};
use crate::units::{Meter, Ticks};

/// Places in a bar as they are counted, with spaces between them: `1 2 2& 3 4 4&`.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema)]
#[schemars(inline)]
pub(super) struct Counts(
    #[schemars(with = "String", regex(pattern = r"^\s*[1-6][&ea]?(\s+[1-6][&ea]?)*\s*$"))]
    Vec<Count>,
);

impl<'de> Deserialize<'de> for Counts {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Counts, D::Error> {
        let text = String::deserialize(deserializer)?;
        let counts: Result<Vec<Count>, _> = text.split_whitespace().map(str::parse).collect();
        let counts = counts.map_err(D::Error::custom)?;
        if counts.is_empty() {
            return Err(D::Error::custom("no place in the bar is named: write one such as `1`"));
        }
        Ok(Counts(counts))
    }
}

/// The times of the places from the start of a bar.
///
/// # Errors
/// The meter has no such count; the error points at the places.
pub(super) fn times(
    file: &StyleFile,
    meter: Meter,
    counts: &Spanned<Counts>,
) -> Result<Vec<Ticks>, StyleError> {
    let time = |count: &Count| {
        count.at(meter).ok_or_else(|| {
            let message = format!("{meter} has no count `{count}`");
            let help = format!("count from 1 to {}, or name another `meter`", meter.counts());
            file.error(counts.span(), message, Some(help))
        })
    };
    counts.get_ref().0.iter().map(time).collect()
}

/// A meter as style files write it; 4/4 where they say nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema)]
#[schemars(inline)]
pub(super) struct MeterText(
    #[schemars(with = "String", extend("enum" = Meter::ALL.map(|meter| meter.to_string())))]
    pub(super) Meter,
);

impl Default for MeterText {
    fn default() -> Self {
        MeterText(Meter::FourFour)
    }
}

impl<'de> Deserialize<'de> for MeterText {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map(MeterText).map_err(D::Error::custom)
    }
}

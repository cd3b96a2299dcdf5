//! Composed lines, as people write them.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::melody::Technique;
use crate::schema::{Either, Placed, Weight, text};

/// `line.technique`: what a composed line shows.
///
/// One technique: `"enclosures"`. Several with their weights: `{ scale-runs = 2, enclosures = 1 }`,
/// or with their bars: `{ enclosures = { bars = "1-4" } }`.
pub(in crate::lesson) type TechniqueEntry = Either<Technique, Shares>;

/// Several techniques with their weights: `{ scale-runs = 2, enclosures = 1 }`, or with their bars:
/// `{ enclosures = { bars = "1-4" } }`.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(try_from = "BTreeMap<Technique, Placed<ShareEntry>>")]
#[schemars(
    inline,
    with = "BTreeMap<String, ShareEntry>",
    extend(
        "propertyNames" = { "enum": Technique::ALL.map(Technique::name) },
        "minProperties" = 1,
    )
)]
pub(in crate::lesson) struct Shares(pub(in crate::lesson) BTreeMap<Technique, Placed<ShareEntry>>);

impl TryFrom<BTreeMap<Technique, Placed<ShareEntry>>> for Shares {
    type Error = &'static str;
    fn try_from(shares: BTreeMap<Technique, Placed<ShareEntry>>) -> Result<Shares, &'static str> {
        let none = "no technique is named\nname one, such as \"scale-runs\"";
        if shares.is_empty() { Err(none) } else { Ok(Shares(shares)) }
    }
}

/// A technique's share of a line: how likely it is against the others, above 0; or in some bars
/// only.
pub(in crate::lesson) type ShareEntry = Either<Weight, LimitedShare>;

/// A share in some bars only.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(inline)]
pub(in crate::lesson) struct LimitedShare {
    /// How likely it is against the others, above 0; 1 where it is left out.
    pub(in crate::lesson) weight: Option<Weight>,
    /// The bars, counted from 1: `"1-4, 7"`.
    pub(in crate::lesson) bars: Placed<Bars>,
}

text! {
    /// Bars of a chart, counted from 1: `1-4, 7`.
    Bars(Vec<RangeInclusive<u32>>),
    [regex(pattern = r"^\s*[0-9]+\s*(-\s*[0-9]+\s*)?(,\s*[0-9]+\s*(-\s*[0-9]+\s*)?)*$")],
    |text| {
        let range = |part: &str| {
            let (first, last) = part.split_once('-').unwrap_or((part, part));
            let (first, last) = (first.trim().parse().ok()?, last.trim().parse().ok()?);
            (1 <= first && first <= last).then_some(first..=last)
        };
        let bars: Option<Vec<_>> = text.split(',').map(range).collect();
        let text = crate::problem::quoted(text);
        bars.ok_or_else(|| format!("`{text}` names no bars of this chart\nwrite them as \"1-4, 7\""))
    }
}

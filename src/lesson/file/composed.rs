//! Composed lines, as people write them.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::melody::Technique;

/// `line.technique`: what a composed line shows.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum TechniqueEntry {
    /// One technique: `"enclosures"`.
    Name(#[schemars(extend("enum" = Technique::ALL.map(Technique::name)))] String),
    /// Several with their weights: `{ scale-runs = 2, enclosures = 1 }`, or with their bars:
    /// `{ enclosures = { bars = "1-4" } }`.
    Shares(
        #[schemars(extend(
            "propertyNames" = { "enum": Technique::ALL.map(Technique::name) },
            "minProperties" = 1,
        ))]
        BTreeMap<String, ShareEntry>,
    ),
}

/// A technique's share of a line.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum ShareEntry {
    /// How likely it is against the others, above 0.
    Weight(#[schemars(extend("exclusiveMinimum" = 0, "maximum" = 1000))] f64),
    /// In some bars only.
    Limited {
        /// How likely it is against the others, above 0; 1 where it is left out.
        #[schemars(extend("exclusiveMinimum" = 0, "maximum" = 1000))]
        weight: Option<f64>,
        /// The bars, counted from 1: `"1-4, 7"`.
        #[schemars(regex(pattern = super::BARS))]
        bars: String,
    },
}

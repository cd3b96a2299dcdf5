//! Charts and the lines over them, as people write them.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::chart::FeelName;
use crate::units::Meter;

/// `[[chart]]`
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct ChartEntry {
    /// The name that tracks refer to.
    #[schemars(length(min = 1))]
    pub name: String,
    /// The key it is written in. A chart that comes from MusicXML may leave it to that file.
    #[schemars(regex(pattern = super::KEY))]
    pub key: Option<String>,
    /// The meter; 4/4 where it is left out.
    #[schemars(extend("enum" = Meter::ALL.map(|meter| meter.to_string())))]
    pub meter: Option<String>,
    /// `"swing"`, which is the default, `"straight"`, or a ratio, 1 to 4.
    #[serde(default)]
    pub feel: FeelEntry,
    /// The sections in the order of one chorus.
    pub form: Option<String>,
    /// A MusicXML lead sheet to take the chords from, relative to the lesson.
    pub musicxml: Option<String>,
    /// The sections: capital letters, or the names that `form` lists.
    #[serde(flatten)]
    #[schemars(with = "BTreeMap<String, String>")]
    pub sections: BTreeMap<String, toml::Value>,
}

/// `chart.feel`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum FeelEntry {
    /// `"swing"` or `"straight"`
    Word(#[schemars(regex(pattern = r"^\s*(swing|straight|[1-4](\.\d+)?)\s*$"))] String),
    /// The first eighth to the second.
    Ratio(#[schemars(range(min = FeelName::MIN_RATIO, max = FeelName::MAX_RATIO))] f64),
}

impl Default for FeelEntry {
    fn default() -> Self {
        FeelEntry::Word("swing".to_owned())
    }
}

//! Lines, as people write them.

use schemars::JsonSchema;
use serde::Deserialize;

use super::TechniqueEntry;

/// `[[line]]`: notes over a chart.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LineEntry {
    /// The name that tracks refer to.
    #[schemars(length(min = 1))]
    pub name: String,
    /// The chart that it was written over, in that chart's key.
    pub chart: String,
    /// Its notes in ABC notation; the chart gives key and meter.
    pub abc: Option<String>,
    /// A MIDI file with its notes, relative to the lesson.
    pub midi: Option<String>,
    /// A MusicXML file (.musicxml or .mxl) with its notes, relative to the lesson: the first voice
    /// of the first part, or of the first with chord symbols.
    pub musicxml: Option<String>,
    /// A technique to compose it by, of those that `countoff techniques` lists; or several with
    /// their weights.
    pub technique: Option<TechniqueEntry>,
    /// The seed of a composed line; the lesson's where it is left out.
    #[schemars(range(min = 0))]
    pub seed: Option<i64>,
    /// How many lines to compose, 1 to 99, from as many seeds: an exercise book. A track that plays
    /// it becomes as many tracks. 1 where it is left out.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// The bars that a composed line keeps to, such as `"1-4, 7"`; all where it is left out.
    #[schemars(regex(pattern = super::BARS))]
    pub bars: Option<String>,
    /// After how many bars a composed line takes a breath, 0 to 64; 0 is never, and 4 where it is
    /// left out.
    #[schemars(range(min = 0, max = 64))]
    pub breathe: Option<i64>,
    /// How many eighth notes a composed line is moved to the right, 0 to 3; 0 where it is left out.
    #[schemars(range(min = 0, max = 3))]
    pub displace: Option<i64>,
    /// How many beats of the MIDI file come before the first bar line, 0 to 16; none where it is
    /// left out.
    #[schemars(range(min = 0, max = 16))]
    pub pickup: Option<f64>,
    /// The hand that plays it: `"right"`, or `"left"`, which plays in place of a comp style; right
    /// where it is left out.
    #[schemars(extend("enum" = ["right", "left"]))]
    pub hand: Option<String>,
    /// What it is played on, by its General MIDI name; the acoustic grand piano where it is left
    /// out.
    pub instrument: Option<String>,
    /// The lowest and the highest note, such as `"C4 C6"`: it is moved by octaves to stay between
    /// them. Where it is left out it stays where it was written, and near to it in other keys.
    #[schemars(regex(pattern = super::RANGE))]
    pub range: Option<String>,
}

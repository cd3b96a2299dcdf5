//! Tracks, as people write them: who plays what, and for which practice.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{KeysEntry, TemposEntry};

/// The players whom a mix can name.
const PARTS: [&str; 4] = ["comp", "bass", "drums", "line"];

/// The practice shapes.
pub(in crate::lesson) const SHAPES: [&str; 6] =
    ["straight", "loop", "answer", "ladder", "round the keys", "resting click"];

/// The schema of a player's name in a list.
fn part_words() -> serde_json::Value {
    serde_json::json!({ "type": "string", "enum": PARTS })
}

/// `[[track]]`
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TrackEntry {
    /// The track's name, as students read it.
    #[schemars(length(min = 1))]
    pub name: String,
    /// A heading on the practice page, over this track and those after it that have the same.
    #[schemars(length(min = 1))]
    pub group: Option<String>,
    /// Which chart it plays.
    pub chart: String,
    /// The line that is played over it; a list of lines gives a track for each.
    pub line: Option<NamesEntry>,
    /// The comp style, or a line for the left hand; a list gives a track for each.
    pub comp: Option<NamesEntry>,
    /// The bass style.
    pub bass: Option<String>,
    /// The drum style.
    pub drums: Option<String>,
    /// How full the drums are: `"light"`, `"medium"`, `"full"`; medium where it is left out.
    #[schemars(extend("enum" = ["light", "medium", "full"]))]
    pub intensity: Option<String>,
    /// The reach of a hand in semitones, 7 to 19; the style's where it is left out.
    #[schemars(range(min = 7, max = 19))]
    pub reach: Option<i64>,
    /// Which degree lies lowest in the first chord, in comp styles that have two forms: `"3"`,
    /// `"7"` or `"auto"`; the style's where it is left out.
    #[schemars(extend("enum" = ["3", "7", "auto"]))]
    pub start: Option<String>,
    /// How often the form is played, 1 to 999; once where it is left out.
    #[schemars(range(min = 1, max = 999))]
    pub choruses: Option<i64>,
    /// How it ends: `"held"`, `"short"`, `"none"`; held where it is left out.
    #[schemars(extend("enum" = ["held", "short", "none"]))]
    pub ending: Option<String>,
    /// The practice shape; straight through where it is left out.
    pub practice: Option<PracticeEntry>,
    /// Tempos of this track, in place of the lesson's.
    pub tempos: Option<TemposEntry>,
    /// Keys of this track, in place of the lesson's.
    pub keys: Option<KeysEntry>,
    /// What is heard together; everything, with count-in, where it is left out.
    #[schemars(length(min = 1))]
    pub mixes: Option<Vec<MixEntry>>,
    /// Whether every part is given as a file of its own beside the mixes.
    #[serde(default)]
    pub stems: bool,
}

/// `"shells"`, or `["shells", "guide-tones"]`
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum NamesEntry {
    /// One.
    One(String),
    /// Several.
    Several(#[schemars(length(min = 1))] Vec<String>),
}

/// One of `track.mixes`
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct MixEntry {
    /// Parts to leave out.
    #[schemars(extend("items" = part_words()))]
    pub without: Option<Vec<String>>,
    /// The only parts to keep.
    #[schemars(extend("items" = part_words()))]
    pub only: Option<Vec<String>>,
    /// Whether a click goes along; it does not where it is left out.
    pub click: Option<bool>,
    /// Whether the band is counted in; it is where it is left out. Without, the file begins with
    /// the first bar, or with the pickup before it.
    pub count_in: Option<bool>,
    /// One part to one side, the rest to the other.
    pub balance: Option<BalanceEntry>,
}

/// `balance` of a mix: turning a player's balance knob takes one part out.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BalanceEntry {
    /// The part that goes to one side.
    #[schemars(extend("enum" = PARTS))]
    pub part: String,
    /// How far, 0.1 to 1; all the way where it is left out.
    #[schemars(range(min = 0.1, max = 1))]
    pub amount: Option<f64>,
    /// `"left"` or `"right"`; left where it is left out.
    #[schemars(extend("enum" = ["left", "right"]))]
    pub side: Option<String>,
}

/// `track.practice`: a practice shape with what it needs; every other key must be left out.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PracticeEntry {
    /// `"straight"`, `"loop"`, `"answer"`, `"ladder"`, `"round the keys"`, `"resting click"`.
    #[schemars(extend("enum" = SHAPES))]
    pub shape: String,
    /// Answer: bars of a phrase, 1 to 64; 4 where it is left out.
    #[schemars(range(min = 1, max = 64))]
    pub bars: Option<i64>,
    /// Ladder: the first tempo, 20 to 400.
    #[schemars(range(min = 20, max = 400))]
    pub from: Option<f64>,
    /// Ladder: the last tempo, 20 to 400.
    #[schemars(range(min = 20, max = 400))]
    pub to: Option<f64>,
    /// Ladder: beats per minute from one tempo to the next, 0.5 to 100; 4 where it is left out.
    #[schemars(range(min = 0.5, max = 100))]
    pub step: Option<f64>,
    /// Round the keys: `"fourths"`, `"semitones"`, `"whole steps"`; fourths where it is left out.
    #[schemars(extend("enum" = ["fourths", "semitones", "whole steps"]))]
    pub order: Option<String>,
    /// Round the keys: whether a bar announces each new key by its dominant; true where it is
    /// left out.
    pub announce: Option<bool>,
    /// Resting click: bars with click, 1 to 64; 4 where it is left out.
    #[schemars(range(min = 1, max = 64))]
    pub sounding: Option<i64>,
    /// Resting click: bars without, 1 to 64; 4 where it is left out.
    #[schemars(range(min = 1, max = 64))]
    pub silent: Option<i64>,
}

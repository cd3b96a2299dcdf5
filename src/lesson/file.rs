//! The lesson file as people write it: every key of it, with its default.

use serde::Deserialize;
use std::collections::BTreeMap;

/// A lesson file, as TOML spells it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LessonFile {
    /// The version of this format; 1.
    pub format: i64,
    /// The lesson's title, as students read it.
    pub title: String,
    /// Who teaches it; goes into the tags.
    pub teacher: Option<String>,
    /// The year, for the tags.
    pub year: Option<i64>,
    /// The copyright line, for the tags.
    pub copyright: Option<String>,
    /// A SoundFont to play it with, relative to the lesson; the embedded one where none is named.
    pub soundfont: Option<String>,
    /// A folder with styles of your own, relative to the lesson.
    pub styles: Option<String>,
    /// The tempos of the set, in beats per minute.
    #[serde(default)]
    pub tempos: TemposEntry,
    /// The keys of the set.
    #[serde(default)]
    pub keys: KeysEntry,
    /// The seed of every random choice.
    #[serde(default = "default_seed")]
    pub seed: i64,
    /// How the band counts in.
    #[serde(default)]
    pub count_in: CountInEntry,
    /// How the click goes, in mixes that have one.
    #[serde(default)]
    pub click: ClickEntry,
    /// Loudness.
    #[serde(default)]
    pub level: LevelEntry,
    /// What the files are.
    #[serde(default)]
    pub files: FilesEntry,
    /// The charts.
    #[serde(default)]
    pub chart: Vec<ChartEntry>,
    /// The lines: notes over a chart, for the right hand.
    #[serde(default)]
    pub line: Vec<LineEntry>,
    /// What to make of them.
    #[serde(default)]
    pub track: Vec<TrackEntry>,
}

const fn default_seed() -> i64 {
    1
}

/// `tempos`: a list, or one performance tempo with slower ones in per cent of it.
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
pub enum TemposEntry {
    /// `[60, 80, 108, 144]`
    List(Vec<f64>),
    /// `{ at = 144, slower = [75, 55, 40] }`
    Relative {
        /// The performance tempo, in beats per minute.
        at: f64,
        /// The slower ones, in per cent of it.
        #[serde(default)]
        slower: Vec<f64>,
    },
}

impl Default for TemposEntry {
    fn default() -> Self {
        TemposEntry::List(vec![60.0, 80.0, 108.0, 144.0])
    }
}

/// `keys`: a word or a list.
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub enum KeysEntry {
    /// `"as written"`, `"fourths"`, `"semitones"`
    Word(String),
    /// `["Gm", "Cm"]`
    List(Vec<String>),
}

impl Default for KeysEntry {
    fn default() -> Self {
        KeysEntry::Word("as written".to_owned())
    }
}

/// `[count-in]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct CountInEntry {
    /// How many bars, 0 to 4; by tempo and meter where it is left out.
    pub bars: Option<i64>,
}

/// `[click]`
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct ClickEntry {
    /// `"all"`, `"2 and 4"`, or a list of counts.
    pub on: ClickOnEntry,
    /// Whether the first beat of a bar sounds one tone higher.
    pub accent: bool,
    /// `"wood"` or `"soft"`.
    pub sound: String,
}

impl Default for ClickEntry {
    fn default() -> Self {
        ClickEntry {
            on: ClickOnEntry::Word("all".to_owned()),
            accent: true,
            sound: "wood".to_owned(),
        }
    }
}

/// `click.on`
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub enum ClickOnEntry {
    /// `"all"`, `"2 and 4"`
    Word(String),
    /// Counts of the bar, from 1.
    Counts(Vec<i64>),
}

/// `[level]`
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct LevelEntry {
    /// The loudness of every track, in LUFS.
    pub target: f64,
    /// `"track"`: one gain for all mixes of a track at one key and tempo; `"each"`: every file
    /// on its own.
    pub by: String,
}

impl Default for LevelEntry {
    fn default() -> Self {
        LevelEntry { target: -16.0, by: "track".to_owned() }
    }
}

/// `[files]`
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct FilesEntry {
    /// 16, 24, or 32 (floating point).
    pub bits: i64,
    /// 44100 or 48000 frames a second.
    pub rate: i64,
}

impl Default for FilesEntry {
    fn default() -> Self {
        FilesEntry { bits: 16, rate: 44_100 }
    }
}

/// `[[chart]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct ChartEntry {
    /// The name that tracks refer to.
    pub name: String,
    /// The key it is written in. A chart that comes from MusicXML may leave it to that file.
    pub key: Option<String>,
    /// The meter; 4/4 where it is left out.
    pub meter: Option<String>,
    /// `"swing"`, `"straight"`, or a ratio.
    #[serde(default)]
    pub feel: FeelEntry,
    /// The sections in the order of one chorus.
    pub form: Option<String>,
    /// A MusicXML lead sheet to take the chords from, relative to the lesson.
    pub musicxml: Option<String>,
    /// The sections: capital letters, or the names that `form` lists.
    #[serde(flatten)]
    pub sections: BTreeMap<String, toml::Value>,
}

/// `chart.feel`
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub enum FeelEntry {
    /// `"swing"` or `"straight"`
    Word(String),
    /// The first eighth to the second.
    Ratio(f64),
}

impl Default for FeelEntry {
    fn default() -> Self {
        FeelEntry::Word("swing".to_owned())
    }
}

/// `[[track]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TrackEntry {
    /// The track's name, as students read it.
    pub name: String,
    /// Which chart it plays.
    pub chart: String,
    /// The line that is played over it.
    pub line: Option<String>,
    /// The comp style.
    pub comp: Option<String>,
    /// The bass style.
    pub bass: Option<String>,
    /// The drum style.
    pub drums: Option<String>,
    /// How full the drums are: `"light"`, `"medium"`, `"full"`.
    pub intensity: Option<String>,
    /// The reach of a hand in semitones; the style's where it is left out.
    pub reach: Option<i64>,
    /// Which degree lies lowest in the first chord, in comp styles that have two forms: `"3"`,
    /// `"7"` or `"auto"`; the style's where it is left out.
    pub start: Option<String>,
    /// How often the form is played; once where it is left out.
    pub choruses: Option<i64>,
    /// How it ends: `"held"`, `"short"`, `"none"`.
    pub ending: Option<String>,
    /// The practice shape; straight through where it is left out.
    pub practice: Option<PracticeEntry>,
    /// Tempos of this track, in place of the lesson's.
    pub tempos: Option<TemposEntry>,
    /// Keys of this track, in place of the lesson's.
    pub keys: Option<KeysEntry>,
    /// What is heard together; everything, with count-in, where it is left out.
    pub mixes: Option<Vec<MixEntry>>,
    /// Whether every part is given as a file of its own beside the mixes.
    #[serde(default)]
    pub stems: bool,
}

/// `[[line]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LineEntry {
    /// The name that tracks refer to.
    pub name: String,
    /// The chart that it was written over, in that chart's key.
    pub chart: String,
    /// A MIDI file with its notes, relative to the lesson.
    pub midi: String,
    /// How many beats of the file come before the first bar line, 0 to 16; none where it is left
    /// out.
    pub pickup: Option<f64>,
}

/// One of `track.mixes`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct MixEntry {
    /// Parts to leave out.
    pub without: Option<Vec<String>>,
    /// The only parts to keep.
    pub only: Option<Vec<String>>,
    /// Whether a click goes along.
    pub click: Option<bool>,
    /// Whether the band is counted in.
    pub count_in: Option<bool>,
    /// One part to one side, the rest to the other.
    pub balance: Option<BalanceEntry>,
}

/// `balance` of a mix: turning a player's balance knob takes one part out.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BalanceEntry {
    /// The part that goes to one side.
    pub part: String,
    /// How far, 0.1 to 1; all the way where it is left out.
    pub amount: Option<f64>,
    /// `"left"` or `"right"`; left where it is left out.
    pub side: Option<String>,
}

/// `track.practice`: a practice shape with what it needs; every other key must be left out.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct PracticeEntry {
    /// `"straight"`, `"loop"`, `"answer"`, `"ladder"`, `"round the keys"`, `"resting click"`.
    pub shape: String,
    /// Answer: bars of a phrase, 1 to 64; 4 where it is left out.
    pub bars: Option<i64>,
    /// Ladder: the first tempo.
    pub from: Option<f64>,
    /// Ladder: the last tempo.
    pub to: Option<f64>,
    /// Ladder: beats per minute from one tempo to the next; 4 where it is left out.
    pub step: Option<f64>,
    /// Round the keys: `"fourths"`, `"semitones"`, `"whole steps"`; fourths where it is left out.
    pub order: Option<String>,
    /// Round the keys: whether a bar announces each new key by its dominant; true where it is
    /// left out.
    pub announce: Option<bool>,
    /// Resting click: bars with click, 1 to 64; 4 where it is left out.
    pub sounding: Option<i64>,
    /// Resting click: bars without, 1 to 64; 4 where it is left out.
    pub silent: Option<i64>,
}

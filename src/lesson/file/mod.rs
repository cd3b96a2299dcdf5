//! The lesson file as people write it: every key of it, with its default.

mod chart;
mod composed;
mod line;
#[cfg(test)]
mod tests;
mod track;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::engrave::pages::Paper;
use crate::notation::Reader;
use crate::units::Bpm;

pub use chart::{ChartEntry, FeelEntry};
pub use composed::{ShareEntry, TechniqueEntry};
pub use line::LineEntry;
pub(super) use track::SHAPES;
pub use track::{BalanceEntry, MixEntry, NamesEntry, PracticeEntry, TrackEntry};

/// How a key is written: a letter with at most one accidental, and `m` where it is minor.
const KEY: &str = r"^\s*[A-G](b|#|♭|♯)?\s*(m|-|min|minor|M|maj|major)?\s*$";

/// How bars are written: `1-4, 7`.
const BARS: &str = r"^\s*[0-9]+\s*(-\s*[0-9]+\s*)?(,\s*[0-9]+\s*(-\s*[0-9]+\s*)?)*$";

/// How a lowest and a highest note are written: `C4 C6`.
const RANGE: &str = r"^\s*[A-G](b|#|♭|♯)?-?[0-9]+\s+[A-G](b|#|♭|♯)?-?[0-9]+\s*$";

/// A lesson: one file in, a whole set of practice audio out.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(extend("required" = ["format", "title", "chart", "track"]))]
pub struct LessonFile {
    /// The version of this format; 1.
    #[schemars(range(min = 1, max = 1))]
    pub format: i64,
    /// The lesson's title, as students read it.
    #[schemars(length(min = 1))]
    pub title: String,
    /// Who teaches it; goes into the tags.
    pub teacher: Option<String>,
    /// The year, 1 to 9999, for the tags.
    #[schemars(range(min = 1, max = 9999))]
    pub year: Option<i64>,
    /// The copyright line, for the tags.
    pub copyright: Option<String>,
    /// A SoundFont to play it with, relative to the lesson; the embedded one where none is named.
    pub soundfont: Option<String>,
    /// A folder with styles of your own, relative to the lesson.
    pub styles: Option<String>,
    /// The tempos of the set, in beats per minute, 20 to 400; 60, 80, 108 and 144 where they are
    /// left out.
    #[serde(default)]
    pub tempos: TemposEntry,
    /// The keys of the set: `"as written"`, which is the default, `"fourths"`, `"semitones"`, or a
    /// list.
    #[serde(default)]
    pub keys: KeysEntry,
    /// The seed of every random choice: another seed, another performance.
    #[serde(default = "default_seed")]
    #[schemars(range(min = 0))]
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
    /// The charts: bars of chords.
    #[serde(default)]
    #[schemars(length(min = 1))]
    pub chart: Vec<ChartEntry>,
    /// The lines: notes over a chart.
    #[serde(default)]
    pub line: Vec<LineEntry>,
    /// What to make of them.
    #[serde(default)]
    #[schemars(length(min = 1))]
    pub track: Vec<TrackEntry>,
}

const fn default_seed() -> i64 {
    1
}

/// `tempos`: a list, or one performance tempo with slower ones in per cent of it.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum TemposEntry {
    /// `[60, 80, 108, 144]`
    List(#[schemars(length(min = 1), inner(range(min = 20, max = 400)))] Vec<f64>),
    /// `{ at = 144, slower = [75, 55, 40] }`
    Relative {
        /// The performance tempo, in beats per minute.
        #[schemars(range(min = 20, max = 400))]
        at: f64,
        /// The slower ones, in per cent of it, 10 to 99.
        #[serde(default)]
        #[schemars(extend("items" = { "type": "number", "minimum": 10, "exclusiveMaximum": 100 }))]
        slower: Vec<f64>,
    },
}

impl TemposEntry {
    /// The performance tempo, where there are slower ones beside it.
    pub(in crate::lesson) fn at_tempo(&self) -> Option<Bpm> {
        match self {
            TemposEntry::Relative { at, slower } if !slower.is_empty() => Bpm::new(*at).ok(),
            _ => None,
        }
    }
}

impl Default for TemposEntry {
    fn default() -> Self {
        TemposEntry::List(vec![60.0, 80.0, 108.0, 144.0])
    }
}

/// `keys`: a word, or a list of keys such as `"Bb"` or `"F#m"`.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum KeysEntry {
    /// `"as written"`, `"fourths"`, `"semitones"`
    Word(#[schemars(extend("enum" = ["as written", "fourths", "semitones"]))] String),
    /// `["Gm", "Cm"]`
    List(#[schemars(length(min = 1), inner(regex(pattern = KEY)))] Vec<String>),
}

impl Default for KeysEntry {
    fn default() -> Self {
        KeysEntry::Word("as written".to_owned())
    }
}

/// `[count-in]`
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct CountInEntry {
    /// How many bars, 0 to 4; by tempo and meter where it is left out.
    #[schemars(range(min = 0, max = 4))]
    pub bars: Option<i64>,
}

/// `[click]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct ClickEntry {
    /// `"all"`, `"2 and 4"`, or a list of counts.
    pub on: ClickOnEntry,
    /// Whether the first beat of a bar sounds one tone higher.
    pub accent: bool,
    /// `"wood"` or `"soft"`.
    #[schemars(extend("enum" = ["wood", "soft"]))]
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
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum ClickOnEntry {
    /// `"all"`, `"2 and 4"`, `"1"`
    Word(#[schemars(extend("enum" = ["all", "2 and 4", "1"]))] String),
    /// Counts of the bar, from 1.
    Counts(#[schemars(inner(range(min = 1, max = 6)))] Vec<i64>),
}

/// `[level]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct LevelEntry {
    /// The loudness of every track, in LUFS, -30 to -12.
    #[schemars(range(min = -30, max = -12))]
    pub target: f64,
    /// `"track"`: one gain for all mixes of a track at one key and tempo; `"each"`: every file
    /// on its own.
    #[schemars(extend("enum" = ["track", "each"]))]
    pub by: String,
}

impl Default for LevelEntry {
    fn default() -> Self {
        LevelEntry { target: -16.0, by: "track".to_owned() }
    }
}

/// `[files]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct FilesEntry {
    /// Whether a table of the times at which bars begin goes with every take, as CSV.
    pub bar_times: bool,
    /// Whether the whole set is also given as one `.zip`.
    pub zip: bool,
    /// `"wav"`, `"flac"`, `"mp3"`: every mix is made in each of these formats.
    #[schemars(extend(
        "items" = { "type": "string", "enum": ["wav", "flac", "mp3"] },
        "minItems" = 1,
        "uniqueItems" = true,
    ))]
    pub formats: Vec<String>,
    /// 16, 24, or 32 (floating point; FLAC, which has none, is written in 24 then).
    #[schemars(extend("enum" = [16, 24, 32]))]
    pub bits: i64,
    /// 44100 or 48000 frames a second.
    #[schemars(extend("enum" = [44_100, 48_000]))]
    pub rate: i64,
    /// Whom notes are written for, as MusicXML: `"concert"` gives the hands and lead sheets at
    /// sounding pitch, `"b-flat"`, `"e-flat"` and `"bass-clef"` lead sheets for those who read
    /// like that. No notes where the list is empty.
    #[schemars(extend("items" = { "type": "string", "enum": Reader::ALL.map(Reader::name) }))]
    pub notes: Vec<String>,
    /// The paper of the handout: `"A4"` or `"Letter"`.
    #[schemars(extend("enum" = Paper::ALL.map(Paper::name)))]
    pub paper: String,
}

impl Default for FilesEntry {
    fn default() -> Self {
        FilesEntry {
            bar_times: false,
            zip: false,
            formats: vec!["wav".to_owned()],
            bits: 16,
            rate: 44_100,
            notes: vec![Reader::Concert.name().to_owned()],
            paper: Paper::A4.name().to_owned(),
        }
    }
}

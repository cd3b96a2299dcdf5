//! The lesson file as people write it: every key of it, with its default. Types say what may stand
//! where; the schema, the check and most of what is said of a mistake come from them.

mod chart;
mod composed;
mod line;
mod settings;
#[cfg(test)]
mod tests;
mod track;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::random::Seed;
use crate::schema::{Bounded, List, Name, Placed, Words};

pub(super) use chart::{ChartEntry, CodaWord, UnknownWord};
pub(super) use composed::{Bars, ShareEntry, TechniqueEntry};
pub(super) use line::LineEntry;
pub(super) use settings::{ClickEntry, ClickWord, FilesEntry, KeysEntry, KeysWord, TemposEntry};
use settings::{CountInEntry, LevelEntry};
pub(super) use track::{
    BalanceEntry, ChangeEntry, MixEntry, NamesEntry, PracticeEntry, Side, TrackEntry,
};

/// The most charts, lines, and tracks, of a lesson. A teacher's year has fewer; what has more was
/// made by a program that should make several lessons.
pub(super) const MOST: usize = 999;

/// A lesson: one file in, a whole set of practice audio out.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct LessonFile {
    /// The version of this format; 1.
    #[expect(dead_code, reason = "looked at before anything else, in the text")]
    format: Bounded<u8, 1, 1>,
    /// The lesson's title, as students read it.
    pub(super) title: Name,
    /// Who teaches it; goes into the tags.
    pub(super) teacher: Option<Words>,
    /// The year, 1 to 9999, for the tags.
    pub(super) year: Option<Bounded<u16, 1, 9999>>,
    /// The copyright line, for the tags.
    pub(super) copyright: Option<Words>,
    /// A SoundFont to play it with, relative to the lesson; the embedded one where none is named.
    pub(super) soundfont: Option<Words>,
    /// A folder with styles of your own, relative to the lesson.
    #[expect(dead_code, reason = "looked at before anything else, in the text")]
    styles: Option<Words>,
    /// The tempos of the set, in beats per minute, 20 to 400; 60, 80, 108 and 144 where they are
    /// left out.
    #[serde(default)]
    pub(super) tempos: TemposEntry,
    /// The keys of the set: `"as written"`, which is the default, `"fourths"`, `"semitones"`, or a
    /// list.
    #[serde(default)]
    pub(super) keys: KeysEntry,
    /// The seed of every random choice: another seed, another performance.
    #[serde(default)]
    pub(super) seed: Seed,
    /// How the band counts in.
    #[serde(default)]
    pub(super) count_in: CountInEntry,
    /// How the click goes, in mixes that have one.
    #[serde(default)]
    pub(super) click: ClickEntry,
    /// Loudness.
    #[serde(default)]
    pub(super) level: LevelEntry,
    /// What the files are.
    #[serde(default)]
    pub(super) files: FilesEntry,
    /// The charts: bars of chords.
    #[schemars(extend("x-if-missing" = "add a [[chart]] with a name, a key and the bars, \
                                        such as A = \"| Dm7 | G7 |\""))]
    pub(super) chart: List<Placed<ChartEntry>, 1, MOST>,
    /// The lines: notes over a chart.
    #[serde(default)]
    pub(super) line: List<Placed<LineEntry>, 0, MOST>,
    /// What to make of them.
    #[schemars(extend("x-if-missing" = "add a [[track]] with a name, a chart and what to play, \
                                        such as comp = \"shells\""))]
    pub(super) track: List<Placed<TrackEntry>, 1, MOST>,
}

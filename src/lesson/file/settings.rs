//! What holds for the whole lesson, or for a track in its place.

use std::fmt;

use schemars::JsonSchema;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::codec::wav::SampleFormat;
use crate::deliver::Container;
use crate::engrave::pages::Paper;
use crate::mix::LevelRule;
use crate::notation::Reader;
use crate::part::click::ClickSound;
use crate::schema::{Bounded, Either, List, Placed, decimal, text};
use crate::theory::Key;
use crate::units::{Bpm, SampleRate};

/// The most tempos of a track.
const MOST_TEMPOS: usize = 99;
/// The most keys of a track: there are 15 signatures.
const MOST_KEYS: usize = 15;

decimal! {
    /// A practice tempo in per cent of the performance tempo.
    PerCent, "minimum": 10, "exclusiveMaximum": 100
}

decimal! {
    /// Loudness in LUFS. Below -30 a phone is too soft; above -12 the limiter would be heard (common
    /// practice).
    Lufs, "minimum": -30, "maximum": -12
}

/// `tempos`: a list, or one performance tempo with slower ones in per cent of it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(untagged)]
pub(in crate::lesson) enum TemposEntry {
    /// `[60, 80, 108, 144]`
    List(List<Placed<Bpm>, 1, MOST_TEMPOS>),
    /// `{ at = 144, slower = [75, 55, 40] }`
    Relative(RelativeTempos),
}

/// `{ at = 144, slower = [75, 55, 40] }`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(inline)]
pub(in crate::lesson) struct RelativeTempos {
    /// The performance tempo, in beats per minute.
    pub(in crate::lesson) at: Placed<Bpm>,
    /// The slower ones, in per cent of it, 10 to below 100.
    #[serde(default)]
    pub(in crate::lesson) slower: List<Placed<PerCent>, 0, MOST_TEMPOS>,
}

impl TemposEntry {
    /// The performance tempo, where there are slower ones beside it.
    pub(in crate::lesson) fn at_tempo(&self) -> Option<Bpm> {
        match self {
            TemposEntry::Relative(tempos) if !tempos.slower.is_empty() => Some(*tempos.at),
            _ => None,
        }
    }
}

impl Default for TemposEntry {
    fn default() -> Self {
        let usual = [60.0, 80.0, 108.0, 144.0].map(|bpm| Bpm::new(bpm).ok().map(Placed::from));
        TemposEntry::List(usual.into_iter().flatten().collect::<Vec<_>>().into())
    }
}

impl<'de> Deserialize<'de> for TemposEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TemposVisitor)
    }
}

struct TemposVisitor;

impl<'de> Visitor<'de> for TemposVisitor {
    type Value = TemposEntry;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list or a table of tempos")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<TemposEntry, A::Error> {
        List::deserialize(SeqAccessDeserializer::new(list)).map(TemposEntry::List)
    }

    fn visit_map<A: MapAccess<'de>>(self, table: A) -> Result<TemposEntry, A::Error> {
        let table = MapAccessDeserializer::new(table);
        RelativeTempos::deserialize(table).map(TemposEntry::Relative)
    }
}

/// `keys`: a word, or a list of keys such as `"Bb"` or `"F#m"`.
pub(in crate::lesson) type KeysEntry = Either<KeysWord, List<Placed<KeyText>, 1, MOST_KEYS>>;

/// `"as written"`, `"fourths"`, `"semitones"`
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[schemars(inline)]
pub(in crate::lesson) enum KeysWord {
    /// The key that the chart is written in.
    #[serde(rename = "as written")]
    AsWritten,
    /// All twelve, each a fourth above the one before.
    Fourths,
    /// All twelve, each a half step above the one before.
    Semitones,
}

impl Default for KeysEntry {
    fn default() -> Self {
        Either::Single(KeysWord::AsWritten)
    }
}

text! {
    /// A key: a letter with at most one accidental, and `m` where it is minor; of no more than seven
    /// sharps or flats.
    KeyText(Key),
    [regex(pattern = concat!(
        r"^\s*(([A-G]|[CF](#|♯|[ -]sharp)|[A-EG](b|♭|[ -]flat))\s*(M|maj|-?major)?",
        r"|([A-G]|[ACDFG](#|♯|[ -]sharp)|[ABE](b|♭|[ -]flat))\s*(m|-|min|-?minor))\s*$",
    ))],
    |text| text.parse().map_err(|error: crate::theory::KeyError| error.to_string())
}

impl Serialize for KeyText {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&**self)
    }
}

/// `[count-in]`
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(in crate::lesson) struct CountInEntry {
    /// How many bars, 0 to 4; by tempo and meter where it is left out.
    pub(in crate::lesson) bars: Option<Bounded<u8, 0, 4>>,
}

/// `[click]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(in crate::lesson) struct ClickEntry {
    /// `"all"`, `"2 and 4"`, `"1"`, or a list of counts of the bar, from 1.
    pub(in crate::lesson) on: Either<ClickWord, List<Bounded<u8, 1, 6>, 0, 6>>,
    /// Whether the first beat of a bar sounds one tone higher.
    pub(in crate::lesson) accent: bool,
    /// `"wood"` or `"soft"`.
    pub(in crate::lesson) sound: ClickSound,
}

/// `"all"`, `"2 and 4"`, `"1"`
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(inline)]
pub(in crate::lesson) enum ClickWord {
    /// Every beat.
    #[serde(rename = "all")]
    All,
    /// Two and four, or what stands for them.
    #[serde(rename = "2 and 4")]
    BackBeats,
    /// The first beat of each bar.
    #[serde(rename = "1")]
    First,
}

impl Default for ClickEntry {
    fn default() -> Self {
        ClickEntry { on: Either::Single(ClickWord::All), accent: true, sound: ClickSound::Wood }
    }
}

/// `[level]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(in crate::lesson) struct LevelEntry {
    /// The loudness of every track, in LUFS, -30 to -12.
    pub(in crate::lesson) target: Lufs,
    /// `"track"`: one gain for all mixes of a track at one key and tempo; `"each"`: every file
    /// on its own.
    pub(in crate::lesson) by: LevelRule,
}

impl Default for LevelEntry {
    fn default() -> Self {
        LevelEntry { target: Lufs(-16.0), by: LevelRule::Track }
    }
}

/// `[files]`
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(in crate::lesson) struct FilesEntry {
    /// Whether a table of the times at which bars begin goes with every take, as CSV.
    pub(in crate::lesson) bar_times: bool,
    /// Whether the whole set is also given as one `.zip`.
    pub(in crate::lesson) zip: bool,
    /// `"wav"`, `"flac"`, `"mp3"`: every mix is made in each of these formats.
    #[schemars(extend("uniqueItems" = true))]
    pub(in crate::lesson) formats: List<Placed<Container>, 1, { Container::ALL.len() }>,
    /// 16, 24, or 32 (floating point; FLAC, which has none, is written in 24 then).
    pub(in crate::lesson) bits: Bits,
    /// 44100 or 48000 frames a second.
    pub(in crate::lesson) rate: Rate,
    /// Whom notes are written for, as MusicXML: `"concert"` gives the hands and lead sheets at
    /// sounding pitch, `"b-flat"`, `"e-flat"` and `"bass-clef"` lead sheets for those who read
    /// like that. No notes where the list is empty.
    #[schemars(extend("uniqueItems" = true))]
    pub(in crate::lesson) notes: List<Placed<Reader>, 0, { Reader::ALL.len() }>,
    /// The paper of the handout: `"A4"` or `"Letter"`.
    pub(in crate::lesson) paper: Paper,
}

impl Default for FilesEntry {
    fn default() -> Self {
        FilesEntry {
            bar_times: false,
            zip: false,
            formats: vec![Container::Wav.into()].into(),
            bits: Bits(SampleFormat::Int16),
            rate: Rate(SampleRate::Hz44100),
            notes: vec![Reader::Concert.into()].into(),
            paper: Paper::A4,
        }
    }
}

/// Bits a sample.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "i64", into = "u16")]
#[schemars(inline, extend("enum" = [16, 24, 32]))]
pub(in crate::lesson) struct Bits(pub(in crate::lesson) SampleFormat);

impl TryFrom<i64> for Bits {
    type Error = String;
    fn try_from(bits: i64) -> Result<Bits, String> {
        match bits {
            16 => Ok(Bits(SampleFormat::Int16)),
            24 => Ok(Bits(SampleFormat::Int24)),
            32 => Ok(Bits(SampleFormat::Float32)),
            _ => Err(format!("{bits} bits cannot be written")),
        }
    }
}

impl From<Bits> for u16 {
    fn from(bits: Bits) -> u16 {
        bits.0.bits()
    }
}

/// Frames a second.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "u32", into = "u32")]
#[schemars(inline, extend("enum" = [44_100, 48_000]))]
pub(in crate::lesson) struct Rate(pub(in crate::lesson) SampleRate);

impl TryFrom<u32> for Rate {
    type Error = String;
    fn try_from(hz: u32) -> Result<Rate, String> {
        let unknown = || format!("{hz} frames a second cannot be written");
        SampleRate::from_hz(hz).map(Rate).ok_or_else(unknown)
    }
}

impl From<Rate> for u32 {
    fn from(rate: Rate) -> u32 {
        rate.0.hz()
    }
}

//! Charts, as people write them.

use std::collections::BTreeMap;
use std::fmt;

use schemars::JsonSchema;
use serde::de::{DeserializeSeed, IntoDeserializer, MapAccess, Visitor};
use serde::{Deserialize, Deserializer};

use super::settings::KeyText;
use crate::chart::{FeelName, FormSource, Pace, PaceError, Within};
use crate::problem::{nearest, quoted};
use crate::schema::{Name, Placed, Words, text};
use crate::units::Meter;

/// `[[chart]]`
#[derive(Debug, Clone, JsonSchema)]
pub(in crate::lesson) struct ChartEntry {
    #[schemars(flatten)]
    pub(in crate::lesson) keys: ChartKeys,
    /// The sections: capital letters, the names that `form` or `last` list, and `intro`,
    /// `interlude`, `outro`, which are played before, between and after the choruses.
    #[schemars(flatten, with = "BTreeMap<String, String>")]
    pub(in crate::lesson) sections: Vec<(Placed<String>, Placed<String>)>,
    /// The names of the keys that are not sections.
    #[schemars(skip)]
    known: &'static [&'static str],
}

/// The keys of a chart that are not sections.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(in crate::lesson) struct ChartKeys {
    /// The name that tracks refer to.
    pub(in crate::lesson) name: Placed<Name>,
    /// The key it is written in. A chart that comes from MusicXML may leave it to that file.
    pub(in crate::lesson) key: Option<KeyText>,
    /// The meter; 4/4 where it is left out.
    pub(in crate::lesson) meter: Option<Placed<MeterText>>,
    /// `"swing"`, which is the default, `"straight"`, or a ratio, 1 to 4.
    pub(in crate::lesson) feel: Option<Feel>,
    /// The sections in the order of one chorus.
    pub(in crate::lesson) form: Option<Placed<Rows>>,
    /// The sections of the last chorus, where it differs: `"A A B A tag"`.
    pub(in crate::lesson) last: Option<Placed<Rows>>,
    /// What is other in a section, by its name: `within.B = { key = "G", feel = "straight" }`.
    pub(in crate::lesson) within: Option<BTreeMap<String, Placed<WithinEntry>>>,
    /// A MusicXML lead sheet to take the chords from, relative to the lesson.
    pub(in crate::lesson) musicxml: Option<Placed<Words>>,
    /// Where the coda of that lead sheet is played: in `"every chorus"`, which is the default, or in
    /// the `"last chorus"`.
    pub(in crate::lesson) coda: Option<Placed<CodaWord>>,
    /// What is played for chords of that lead sheet that do not exist: `"N.C."`, nothing. Each is an
    /// error where this is left out.
    pub(in crate::lesson) unknown_chords: Option<Placed<UnknownWord>>,
}

/// `chart.coda`
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[schemars(inline)]
pub(in crate::lesson) enum CodaWord {
    /// A chorus is the whole sheet, jumps and all.
    #[serde(rename = "every chorus")]
    EveryChorus,
    /// What follows the jump back is the last chorus.
    #[serde(rename = "last chorus")]
    LastChorus,
}

/// `chart.unknown-chords`
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[schemars(inline)]
pub(in crate::lesson) enum UnknownWord {
    /// Silence.
    #[serde(rename = "N.C.")]
    Silent,
}

/// `chart.within.B`: what is other in a section.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(inline)]
pub(in crate::lesson) struct WithinEntry {
    /// Its key; it moves with the chart.
    key: Option<KeyText>,
    /// Its meter; quarters go on as they were.
    meter: Option<MeterText>,
    /// How its eighth notes are played.
    feel: Option<Feel>,
    /// What the whole band plays together, bar by bar: `"| 1 2& | . | 4&> | stop |"`.
    pub(in crate::lesson) hits: Option<Placed<Rows>>,
    /// Its tempo as a share of the track's: `"80%"`, or `"100% to 70%"` for a ritardando.
    tempo: Option<PaceText>,
}

impl WithinEntry {
    pub(in crate::lesson) fn within(&self) -> Within<'_> {
        Within {
            key: self.key.as_ref().map(|key| **key),
            meter: self.meter.as_ref().map(|meter| **meter),
            feel: self.feel.map(|feel| feel.0),
            pace: self.tempo.as_ref().map(|pace| **pace),
            hits: self.hits.as_ref().map(|hits| hits.as_str()),
        }
    }
}

text! {
    /// A share of a tempo.
    PaceText(Pace),
    [regex(pattern = r"^\s*(2[5-9]|[3-9][0-9]|[1-3][0-9][0-9]|400)\s*%\s*( to \s*(2[5-9]|[3-9][0-9]|[1-3][0-9][0-9]|400)\s*%\s*)?$")],
    |text| text.parse().map_err(|error: PaceError| error.to_string())
}

text! {
    /// A meter.
    MeterText(Meter),
    [extend("enum" = Meter::ALL.map(|meter| meter.to_string()))],
    |text| text.parse().map_err(|error: crate::units::MeterError| error.to_string())
}

text! {
    /// Words that may stand on several lines.
    Rows(String),
    [regex(pattern = r"^([^\u0000-\u001f\u007f-\u009f]|\s)*$")],
    |text| match text.chars().find(|sign| sign.is_control() && !sign.is_ascii_whitespace()) {
        None => Ok(text.to_owned()),
        Some(sign) => {
            let code = u32::from(sign);
            Err(format!("there is a control character here (U+{code:04X})\nwrite it without"))
        }
    }
}

/// `chart.feel`
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(try_from = "WrittenFeel")]
#[schemars(inline, with = "WrittenFeel")]
pub(in crate::lesson) struct Feel(pub(in crate::lesson) FeelName);

#[derive(Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(inline)]
enum WrittenFeel {
    /// `"swing"` or `"straight"`
    Word(#[schemars(regex(pattern = r"^\s*(swing|straight|[1-3](\.\d+)?|4(\.0+)?)\s*$"))] String),
    /// The first eighth to the second.
    Ratio(#[schemars(range(min = FeelName::MIN_RATIO, max = FeelName::MAX_RATIO))] f64),
}

impl TryFrom<WrittenFeel> for Feel {
    type Error = String;
    fn try_from(written: WrittenFeel) -> Result<Feel, String> {
        let (feel, meant) = match &written {
            WrittenFeel::Word(word) => (word.parse(), nearest(word, ["swing", "straight"])),
            WrittenFeel::Ratio(ratio) => (FeelName::ratio(*ratio), None),
        };
        feel.map(Feel).map_err(|error| match meant {
            Some(right) => format!("{error}\ndid you mean \"{right}\"?"),
            None => error.to_string(),
        })
    }
}

impl ChartEntry {
    /// Whether a key of a chart can be a section: a capital letter, with or without a number, a
    /// name that a form lists, or one that is played besides the choruses.
    ///
    /// # Errors
    /// What is wrong with it, and what to do.
    pub(in crate::lesson) fn check_section(&self, name: &str) -> Result<(), (String, String)> {
        let forms = [self.keys.form.as_ref(), self.keys.last.as_ref()];
        let forms = forms.into_iter().flatten();
        let mut listed = forms.flat_map(|form| form.split_whitespace()).chain(FormSource::BESIDES);
        let mut letters = name.chars();
        let letter = letters.next().is_some_and(char::is_uppercase)
            && letters.all(|rest| rest.is_ascii_digit() || rest == '\'');
        if letter || listed.any(|listed| listed == name) {
            return Ok(());
        }
        let names = self.known.iter().copied().chain(FormSource::BESIDES);
        let help = match nearest(name, names) {
            Some(right) => format!("did you mean `{right}`?"),
            None => "a section is named by a capital letter, by a word that form lists, or intro, \
                 interlude, outro"
                .to_owned(),
        };
        Err((format!("unknown key `{}`", quoted(name)), help))
    }
}

/// Serde's `flatten` would lose the places of the sections: so the keys that [`ChartKeys`] has go
/// there, and all others become sections.
impl<'de> Deserialize<'de> for ChartEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<ChartEntry, D::Error> {
        deserializer.deserialize_map(ChartVisitor)
    }
}

struct ChartVisitor;

impl<'de> Visitor<'de> for ChartVisitor {
    type Value = ChartEntry;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a chart")
    }

    fn visit_map<A: MapAccess<'de>>(self, table: A) -> Result<ChartEntry, A::Error> {
        let (mut known, mut sections) = (&[][..], Vec::new());
        let keys =
            ChartKeys::deserialize(Known { table, known: &mut known, sections: &mut sections })?;
        Ok(ChartEntry { keys, sections, known })
    }
}

/// A table of which a struct sees the keys that it has; the others are sections.
struct Known<'a, A> {
    table: A,
    known: &'a mut &'static [&'static str],
    sections: &'a mut Vec<(Placed<String>, Placed<String>)>,
}

impl<'de, A: MapAccess<'de>> Deserializer<'de> for Known<'_, A> {
    type Error = A::Error;

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, A::Error> {
        *self.known = fields;
        visitor.visit_map(self)
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, A::Error> {
        visitor.visit_map(self)
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf option unit
        unit_struct newtype_struct seq tuple tuple_struct map enum identifier ignored_any
    }
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Known<'_, A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, A::Error> {
        while let Some(key) = self.table.next_key::<Placed<String>>()? {
            if self.known.contains(&key.as_str()) {
                return seed.deserialize(key.as_str().into_deserializer()).map(Some);
            }
            self.sections.push((key, self.table.next_value()?));
        }
        Ok(None)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, A::Error> {
        self.table.next_value_seed(seed)
    }
}

//! A comp style's file, and its check.

use serde::Deserialize;
use toml::Spanned;

use super::check::Check;
use super::{ChordKind, CompStyle, Shape, Start};
use crate::style::bounded::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::MeterText;
use crate::style::pitch_text::PitchText;
use crate::style::{Count, Level, StyleError, StyleFile};

/// The file as TOML spells it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct CompFile {
    pub(super) description: String,
    pub(super) level: Level,
    #[serde(default)]
    pub(super) program: Bounded<0, 127>,
    #[serde(default)]
    pub(super) straight: bool,
    #[serde(default = "a_ninth")]
    pub(super) reach: Bounded<5, 24>,
    pub(super) velocity: Bounded<1, 127>,
    #[serde(default)]
    pub(super) root_below: bool,
    #[serde(default)]
    pub(super) start: Start,
    pub(super) register: Spanned<RangeEntry>,
    pub(super) top: Option<Spanned<RangeEntry>>,
    pub(super) bass: Option<Spanned<RangeEntry>>,
    pub(super) shapes: ShapesEntry,
    pub(super) smaller_hand: Option<ShapesEntry>,
    #[serde(rename = "bar")]
    pub(super) bars: Spanned<Vec<BarEntry>>,
    #[serde(rename = "chord", default)]
    pub(super) chords: Vec<ChordEntry>,
    pub(super) ending: Option<EndingEntry>,
}

/// `[register]`, `[top]` and `[bass]`; a centre has a meaning in `[register]` only
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RangeEntry {
    pub(super) lowest: PitchText,
    pub(super) highest: PitchText,
    pub(super) centre: Option<Spanned<PitchText>>,
}

/// `[shapes]` and `[smaller-hand]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct ShapesEntry {
    pub(super) any: ShapeList,
    pub(super) major: Option<ShapeList>,
    pub(super) minor: Option<ShapeList>,
    pub(super) dominant: Option<ShapeList>,
    pub(super) half_diminished: Option<ShapeList>,
    pub(super) diminished: Option<ShapeList>,
    pub(super) suspended: Option<ShapeList>,
}

impl ShapesEntry {
    /// The lists for kinds of chord.
    pub(super) fn by_kind(&self) -> [(ChordKind, Option<&ShapeList>); 6] {
        [
            (ChordKind::Major, self.major.as_ref()),
            (ChordKind::Minor, self.minor.as_ref()),
            (ChordKind::Dominant, self.dominant.as_ref()),
            (ChordKind::HalfDiminished, self.half_diminished.as_ref()),
            (ChordKind::Diminished, self.diminished.as_ref()),
            (ChordKind::Suspended, self.suspended.as_ref()),
        ]
    }
}

/// A list of shapes with the places of all.
pub(super) type ShapeList = Spanned<Vec<Spanned<Shape>>>;

/// `[[bar]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BarEntry {
    #[serde(default)]
    pub(super) meter: MeterText,
    #[serde(default)]
    pub(super) weight: Weight,
    pub(super) hits: Spanned<Vec<HitEntry>>,
    pub(super) next: Option<Vec<HitEntry>>,
}

/// `[[chord]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChordEntry {
    pub(super) counts: Bounded<1, 5>,
    #[serde(default)]
    pub(super) weight: Weight,
    pub(super) hits: Spanned<Vec<HitEntry>>,
}

/// `[ending]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EndingEntry {
    pub(super) hits: Spanned<Vec<HitEntry>>,
}

/// An entry of `hits`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HitEntry {
    pub(super) at: Spanned<Places>,
    pub(super) play: Option<Spanned<Degrees>>,
    pub(super) length: Option<CountLength>,
    pub(super) velocity: Option<Bounded<1, 127>>,
    pub(super) probability: Option<Probability>,
    #[serde(default)]
    pub(super) ghost: bool,
}

/// Places in a bar, `>` behind one that takes the coming chord early: `1 2&>`.
#[derive(Debug)]
pub(super) struct Places(pub(super) Vec<(Count, bool)>);

impl<'de> Deserialize<'de> for Places {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Places, D::Error> {
        let text = String::deserialize(deserializer)?;
        let place = |token: &str| match token.strip_suffix('>') {
            Some(count) => count.parse().map(|count| (count, true)),
            None => token.parse().map(|count| (count, false)),
        };
        let places: Result<Vec<_>, _> = text.split_whitespace().map(place).collect();
        let places = places.map_err(serde::de::Error::custom)?;
        if places.is_empty() {
            let message = "no place in the bar is named: write one such as `1`";
            return Err(serde::de::Error::custom(message));
        }
        Ok(Places(places))
    }
}

/// Degrees to play: `1`, `3 7`.
#[derive(Debug)]
pub(super) struct Degrees(pub(super) Vec<u8>);

impl<'de> Deserialize<'de> for Degrees {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Degrees, D::Error> {
        let text = String::deserialize(deserializer)?;
        let shape: Shape = text.parse().map_err(serde::de::Error::custom)?;
        if shape.last_group() > 0 || text.contains('|') {
            let message = "`play` names degrees only, without `,` and `|`";
            return Err(serde::de::Error::custom(message));
        }
        Ok(Degrees(shape.notes.iter().map(|note| note.degree).collect()))
    }
}

/// The default reach, in semitones. A hand of average span takes a major ninth (common practice).
fn a_ninth() -> Bounded<5, 24> {
    Bounded::nearest(14)
}

impl CompStyle {
    /// The style that a file describes.
    ///
    /// # Errors
    /// The file is not TOML, says something that a comp style may not say, or leaves out
    /// something that it must; the error points at the place.
    pub fn read(file: &StyleFile) -> Result<CompStyle, StyleError> {
        let said: CompFile = file.read()?;
        let check = Check { file, said: &said };
        let register = check.range(&said.register, "register")?;
        let centre = check.centre(register)?;
        let top = said.top.as_ref().map(|top| check.range(top, "top")).transpose()?;
        let bass = said.bass.as_ref().map(|bass| check.range(bass, "bass")).transpose()?;
        let shapes = check.shapes(&said.shapes)?;
        let smaller_hand = said.smaller_hand.as_ref().map(|said| check.shapes(said)).transpose()?;
        let bars = check.bars()?;
        let mut chords = check.chords()?;
        chords.sort_by_key(|rhythm| rhythm.counts);
        let ending = check.ending(&bars)?;
        Ok(CompStyle {
            program: said.program.get(),
            straight: said.straight,
            reach: said.reach.get(),
            root_below: said.root_below,
            start: said.start,
            level: said.level,
            description: said.description,
            register,
            centre,
            top,
            bass,
            shapes,
            smaller_hand,
            bars,
            chords,
            ending,
        })
    }
}

//! A comp style's file, and its check.

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use super::check::Check;
use super::{ChordKind, CompStyle, Shape, Start};
use crate::schema::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::MeterText;
use crate::style::pitch_text::PitchText;
use crate::style::{Count, Level, StyleError, StyleFile};

/// The file as TOML spells it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct CompFile {
    /// What it sounds like and what it is good for, in a sentence or two.
    pub(super) description: String,
    /// Whom it suits.
    pub(super) level: Level,
    /// The General MIDI program, counted from 0; 0, the grand piano, where it is left out.
    #[serde(default)]
    pub(super) program: Bounded<u8, 0, 127>,
    /// Even eighths, whatever the chart's feel; false where it is left out.
    #[serde(default)]
    pub(super) straight: bool,
    /// Whether rhythms go by phrases of four bars: a motif of two, then its answer, varied, with room
    /// where a line is busy. Else every bar is drawn by itself; false where it is left out.
    #[serde(default)]
    pub(super) phrases: bool,
    /// How many semitones one hand strikes at once; 14, a ninth, where it is left out.
    #[serde(default = "a_ninth")]
    pub(super) reach: Bounded<u8, 5, 24>,
    /// How hard, where a hit does not say otherwise.
    pub(super) velocity: Bounded<u8, 1, 127>,
    /// Whether a bass player has the root, from which low intervals are then reckoned.
    #[serde(default)]
    pub(super) root_below: bool,
    /// Which degree lies lowest in a chorus's first chord, in styles that have two forms.
    #[serde(default)]
    pub(super) start: Start,
    /// Where the hands play.
    #[schemars(with = "RangeEntry")]
    pub(super) register: Spanned<RangeEntry>,
    /// Where the top voice lies; anywhere in the register where it is left out.
    #[schemars(with = "Option<RangeEntry>")]
    pub(super) top: Option<Spanned<RangeEntry>>,
    /// Where bass notes lie that are struck apart from the chord.
    #[schemars(with = "Option<RangeEntry>")]
    pub(super) bass: Option<Spanned<RangeEntry>>,
    /// Which degrees sound together.
    pub(super) shapes: ShapesEntry,
    /// The shapes for a hand with less reach than the style asks for.
    pub(super) smaller_hand: Option<ShapesEntry>,
    /// Bars of rhythm, drawn by weight.
    #[serde(rename = "bar")]
    #[schemars(with = "Vec<BarEntry>", length(min = 1))]
    pub(super) bars: Spanned<Vec<BarEntry>>,
    /// Rhythms for one of several chords in a bar.
    #[serde(rename = "chord", default)]
    pub(super) chords: Vec<ChordEntry>,
    /// How the last chord is struck; as the first hit of the first bar, held, where it is left out.
    pub(super) ending: Option<EndingEntry>,
}

/// `[register]`, `[top]` and `[bass]`; a centre has a meaning in `[register]` only
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RangeEntry {
    /// The lowest note; `C4` is middle C.
    pub(super) lowest: PitchText,
    /// The highest note, at least a major seventh above.
    pub(super) highest: PitchText,
    /// Where the hands are at home; in the middle where it is left out.
    #[schemars(with = "Option<PitchText>")]
    pub(super) centre: Option<Spanned<PitchText>>,
}

/// `[shapes]` and `[smaller-hand]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct ShapesEntry {
    /// For every chord that has no list of its own.
    #[schemars(with = "Vec<Shape>", length(min = 1))]
    pub(super) any: ShapeList,
    /// For major chords.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
    pub(super) major: Option<ShapeList>,
    /// For minor chords.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
    pub(super) minor: Option<ShapeList>,
    /// For dominants.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
    pub(super) dominant: Option<ShapeList>,
    /// For half-diminished chords.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
    pub(super) half_diminished: Option<ShapeList>,
    /// For diminished chords.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
    pub(super) diminished: Option<ShapeList>,
    /// For suspended chords.
    #[schemars(with = "Option<Vec<Shape>>", length(min = 1))]
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
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BarEntry {
    /// The bar's meter; 4/4 where it is left out.
    #[serde(default)]
    pub(super) meter: MeterText,
    /// How often it is drawn against the other bars of its meter; 1 where it is left out.
    #[serde(default)]
    pub(super) weight: Weight,
    /// What is played.
    #[schemars(with = "Vec<HitEntry>", length(min = 1))]
    pub(super) hits: Spanned<Vec<HitEntry>>,
    /// The bar that follows it, for rhythms of two bars.
    pub(super) next: Option<Vec<HitEntry>>,
}

/// `[[chord]]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ChordEntry {
    /// How many counts it fills.
    pub(super) counts: Bounded<u8, 1, 5>,
    /// How often it is drawn against the others; 1 where it is left out.
    #[serde(default)]
    pub(super) weight: Weight,
    /// What is played.
    #[schemars(with = "Vec<HitEntry>", length(min = 1))]
    pub(super) hits: Spanned<Vec<HitEntry>>,
}

/// `[ending]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct EndingEntry {
    /// What is played; a short ending plays only the first.
    #[schemars(with = "Vec<HitEntry>", length(min = 1))]
    pub(super) hits: Spanned<Vec<HitEntry>>,
}

/// An entry of `hits`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct HitEntry {
    /// Where: one place of the bar or several; `>` behind one takes the coming chord early.
    #[schemars(with = "Places")]
    pub(super) at: Spanned<Places>,
    /// Which degrees of the shape, such as `3 7`; all where it is left out.
    #[schemars(with = "Option<Degrees>")]
    pub(super) play: Option<Spanned<Degrees>>,
    /// How long, in counts; until the hand moves on where it is left out.
    pub(super) length: Option<CountLength>,
    /// How hard, where it is not as the style says.
    pub(super) velocity: Option<Bounded<u8, 1, 127>>,
    /// How likely it is played at all; always where it is left out.
    pub(super) probability: Option<Probability>,
    /// Soft and muted.
    #[serde(default)]
    pub(super) ghost: bool,
}

/// Places in a bar, `>` behind one that takes the coming chord early: `1 2&>`.
#[derive(Debug, JsonSchema)]
#[schemars(inline)]
pub(super) struct Places(
    #[schemars(with = "String", regex(pattern = r"^\s*[1-6][&ea]?>?(\s+[1-6][&ea]?>?)*\s*$"))]
    pub(super) Vec<(Count, bool)>,
);

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
#[derive(Debug, JsonSchema)]
#[schemars(inline)]
pub(super) struct Degrees(
    #[schemars(
        with = "String",
        regex(pattern = r"^\s*(1|3|5|7|9|11|13)(\s+(1|3|5|7|9|11|13))*\s*$")
    )]
    pub(super) Vec<u8>,
);

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
fn a_ninth() -> Bounded<u8, 5, 24> {
    Bounded::fixed::<14>()
}

impl CompStyle {
    /// The JSON schema of its files.
    #[must_use]
    pub fn schema() -> schemars::Schema {
        crate::schema::of_toml::<CompFile>("A Countoff comp style")
    }

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
            phrases: said.phrases,
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

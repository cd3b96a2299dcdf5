//! A drum style's file, and its check.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::{
    DrumBar, DrumBarUse, DrumHit, DrumJoint, DrumStyle, Intensity, IntensityLevels, Kit, Percussion,
};
use crate::schema::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::{Counts, MeterText, times};
use crate::style::{Level, StyleError, StyleFile};
use crate::units::Ticks;

/// The file as TOML spells it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct DrumFile {
    /// What it sounds like and what it is good for, in a sentence or two.
    description: String,
    /// Whom it suits.
    level: Level,
    /// The drum kit; sticks where it is left out.
    #[serde(default)]
    kit: Kit,
    /// Even eighths, whatever the chart's feel; false where it is left out.
    #[serde(default)]
    straight: bool,
    /// After how many bars of the form a fill comes; 0, none, where it is left out.
    #[serde(default)]
    fill_every: FillEvery,
    /// How many bars a pattern is long; 1 where it is left out.
    #[serde(default = "one_bar")]
    cycle: Bounded<u8, 1, 4>,
    /// How loud each intensity is.
    #[serde(default)]
    levels: LevelsEntry,
    /// Bars of rhythm, drawn by weight; at least one that keeps time.
    #[serde(rename = "bar")]
    #[schemars(with = "Vec<BarEntry>", length(min = 1))]
    bars: Spanned<Vec<BarEntry>>,
}

/// In bars; 0 for none.
type FillEvery = Bounded<u8, 0, 32>;

/// `[levels]`
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
struct LevelsEntry {
    /// Velocities when light, in per cent of what hits say; 82 where it is left out.
    light: Bounded<u8, 10, 200>,
    /// The same when medium; 100 where it is left out.
    medium: Bounded<u8, 10, 200>,
    /// The same when full; 116 where it is left out.
    full: Bounded<u8, 10, 200>,
}

impl Default for LevelsEntry {
    /// Velocity counts 40 log10 in our synth, so from 82 to 116 per cent are 6 dB.
    fn default() -> Self {
        LevelsEntry {
            light: Bounded::fixed::<82>(),
            medium: Bounded::fixed::<100>(),
            full: Bounded::fixed::<116>(),
        }
    }
}

/// `[[bar]]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BarEntry {
    /// The bar's meter; 4/4 where it is left out.
    #[serde(default)]
    meter: MeterText,
    /// How often it is drawn against the other bars of its meter and use; 1 where it is left out.
    #[serde(default)]
    weight: Weight,
    /// What the bar is for; keeping time where it is left out.
    #[serde(default, rename = "for")]
    purpose: DrumBarUse,
    /// Which turn of the form a fill leads to, or something lands after: a section or a chorus; any
    /// where it is left out.
    joint: Option<DrumJoint>,
    /// At which bar of the cycle it comes; at any where it is left out.
    #[schemars(with = "Option<Bounded<u8, 1, 4>>")]
    turn: Option<Spanned<Bounded<u8, 1, 4>>>,
    /// The lightest intensity that plays it; light where it is left out.
    #[serde(default = "lightest")]
    from: Intensity,
    /// The fullest intensity that plays it; full where it is left out.
    #[serde(default = "fullest")]
    up_to: Intensity,
    /// What is played.
    hits: Vec<HitEntry>,
}

/// An entry of `hits`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct HitEntry {
    /// Where: one place of the bar, or several, such as `1 2& 4`.
    #[schemars(with = "Counts")]
    at: Spanned<Counts>,
    /// What is struck, by its General MIDI name.
    #[schemars(with = "String", extend("enum" = Percussion::names()))]
    play: Spanned<Percussion>,
    /// How hard.
    velocity: Bounded<u8, 1, 127>,
    /// How likely it is played at all; always where it is left out.
    #[serde(default)]
    probability: Probability,
    /// How long, in counts, for sounds that last as long as the hand moves.
    length: Option<CountLength>,
    /// The lightest intensity that plays it; light where it is left out.
    #[serde(default = "lightest")]
    from: Intensity,
    /// The fullest intensity that plays it; full where it is left out.
    #[serde(default = "fullest")]
    up_to: Intensity,
}

fn one_bar() -> Bounded<u8, 1, 4> {
    Bounded::fixed::<1>()
}

fn lightest() -> Intensity {
    Intensity::Light
}

fn fullest() -> Intensity {
    Intensity::Full
}

impl DrumStyle {
    /// The JSON schema of its files.
    #[must_use]
    pub fn schema() -> schemars::Schema {
        crate::schema::of_toml::<DrumFile>("A Countoff drum style")
    }

    /// The style that a file describes.
    ///
    /// # Errors
    /// The file is not TOML, says something that a drum style may not say, or leaves out
    /// something that it must; the error points at the place.
    pub fn read(file: &StyleFile) -> Result<DrumStyle, StyleError> {
        let said: DrumFile = file.read()?;
        let bars = said.bars.get_ref();
        if !bars.iter().any(|bar| bar.purpose == DrumBarUse::Time) {
            return Err(file.error(
                said.bars.span(),
                "a drum style needs at least one bar that keeps time",
                Some("write `[[bar]]` and its `hits` below it".to_owned()),
            ));
        }
        let bars = bars.iter().map(|bar| checked_bar(file, &said, bar));
        Ok(DrumStyle {
            bars: bars.collect::<Result<_, _>>()?,
            description: said.description,
            level: said.level,
            kit: said.kit,
            straight: said.straight,
            fill_every: said.fill_every.get(),
            cycle: said.cycle.get(),
            levels: IntensityLevels {
                light: said.levels.light.get(),
                medium: said.levels.medium.get(),
                full: said.levels.full.get(),
            },
        })
    }
}

fn checked_bar(file: &StyleFile, style: &DrumFile, bar: &BarEntry) -> Result<DrumBar, StyleError> {
    if let Some(turn) = &bar.turn
        && turn.get_ref().get() > style.cycle.get()
    {
        let message = format!("the cycle has {} bars", style.cycle.get());
        let help =
            "write `cycle` at the top of the file: after how many bars the turns begin again";
        return Err(file.error(turn.span(), message, Some(help.to_owned())));
    }
    let mut hits = Vec::new();
    for hit in &bar.hits {
        hits.extend(checked_hits(file, style, bar, hit)?);
    }
    hits.sort_by_key(|hit: &DrumHit| (hit.at, hit.percussion.key()));
    Ok(DrumBar {
        meter: bar.meter.0,
        weight: bar.weight.get(),
        purpose: bar.purpose,
        joint: bar.joint,
        turn: bar.turn.as_ref().map(|turn| turn.get_ref().get()),
        from: bar.from,
        up_to: bar.up_to,
        hits,
    })
}

fn checked_hits(
    file: &StyleFile,
    style: &DrumFile,
    bar: &BarEntry,
    hit: &HitEntry,
) -> Result<Vec<DrumHit>, StyleError> {
    let percussion = *hit.play.get_ref();
    if !percussion.is_in(style.kit) {
        let message = format!("this kit has no {percussion}");
        let help = match style.kit {
            Kit::Sticks => "brushes need `kit = \"brushes\"` at the top of the file",
            Kit::Brushes => "on this kit play brush-tap, brush-slap or brush-swirl instead",
        };
        return Err(file.error(hit.play.span(), message, Some(help.to_owned())));
    }
    let hit_at_start = DrumHit {
        at: Ticks::ZERO,
        percussion,
        velocity: hit.velocity.get(),
        probability: hit.probability.get(),
        length: hit.length.map(|length| length.ticks(bar.meter.0)),
        from: hit.from,
        up_to: hit.up_to,
    };
    let times = times(file, bar.meter.0, &hit.at)?;
    Ok(times.into_iter().map(|at| DrumHit { at, ..hit_at_start }).collect())
}

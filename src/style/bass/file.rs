//! A bass style's file, and its check.

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use super::{BassHit, BassRegister, BassRhythm, BassRole, BassStyle};
use crate::schema::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::{Counts, MeterText, times};
use crate::style::pitch_text::PitchText;
use crate::style::{Level, StyleError, StyleFile};
use crate::units::{Ticks, Velocity};

/// The loudest velocity at which our SoundFont's bass plays its muted hit.
const LOUDEST_GHOST: i64 = 36;

/// The file as TOML spells it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BassFile {
    /// What it sounds like and what it is good for, in a sentence or two.
    description: String,
    /// Whom it suits.
    level: Level,
    /// The General MIDI program, counted from 0; 32, the acoustic bass, where it is left out.
    #[serde(default = "acoustic_bass")]
    program: Bounded<u8, 0, 127>,
    /// Even eighths, whatever the chart's feel; false where it is left out.
    #[serde(default)]
    straight: bool,
    /// Where the line lies.
    #[schemars(with = "RegisterEntry")]
    register: Spanned<RegisterEntry>,
    /// How hard, where a hit does not say otherwise.
    velocity: Bounded<u8, 1, 127>,
    /// How long notes sound, in per cent of the way to the next one; 100 where it is left out.
    #[serde(default = "to_the_next")]
    legato: Bounded<u8, 5, 100>,
    /// How likely a new chord begins on its root; else on its third or fifth. First choruses,
    /// sections, short chords and chords with a written bass begin on the root in any case. Always
    /// where it is left out.
    #[serde(default)]
    roots: Probability,
    /// How ghost notes are played.
    ghost: Option<GhostEntry>,
    /// Bars of rhythm, drawn by weight.
    #[serde(rename = "bar")]
    #[schemars(with = "Vec<BarEntry>", length(min = 1))]
    bars: Spanned<Vec<BarEntry>>,
}

/// `[register]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct RegisterEntry {
    /// The lowest note; `C4` is middle C.
    lowest: PitchText,
    /// The highest note, at least an octave above.
    highest: PitchText,
    /// Where the line is at home.
    centre: PitchText,
}

/// `[ghost]`
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct GhostEntry {
    /// How likely one is played.
    probability: Probability,
    /// How hard.
    velocity: Bounded<u8, 5, LOUDEST_GHOST>,
}

/// `[[bar]]`
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct BarEntry {
    /// The bar's meter; 4/4 where it is left out.
    #[serde(default)]
    meter: MeterText,
    /// How often it is drawn against the other bars of its meter; 1 where it is left out.
    #[serde(default)]
    weight: Weight,
    /// What is played.
    hits: Vec<HitEntry>,
}

/// An entry of `hits`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct HitEntry {
    /// Where: one place of the bar, or several, such as `1 2& 4`.
    #[schemars(with = "Counts")]
    at: Spanned<Counts>,
    /// What.
    #[schemars(with = "BassRole")]
    play: Spanned<BassRole>,
    /// How long, in counts; by `legato` where it is left out.
    length: Option<CountLength>,
    /// How hard, where it is not as the style says.
    #[schemars(with = "Option<Bounded<u8, 1, 127>>")]
    velocity: Option<Spanned<Bounded<u8, 1, 127>>>,
    /// How likely it is played at all; always where it is left out.
    probability: Option<Probability>,
}

fn acoustic_bass() -> Bounded<u8, 0, 127> {
    Bounded::fixed::<32>()
}

fn to_the_next() -> Bounded<u8, 5, 100> {
    Bounded::fixed::<100>()
}

impl BassStyle {
    /// The JSON schema of its files.
    #[must_use]
    pub fn schema() -> schemars::Schema {
        crate::schema::of_toml::<BassFile>("A Countoff bass style")
    }

    /// The style that a file describes.
    ///
    /// # Errors
    /// The file is not TOML, says something that a bass style may not say, or leaves out
    /// something that it must; the error points at the place.
    pub fn read(file: &StyleFile) -> Result<BassStyle, StyleError> {
        let said: BassFile = file.read()?;
        if said.bars.get_ref().is_empty() {
            return Err(file.error(
                said.bars.span(),
                "a bass style needs at least one bar",
                Some("write `[[bar]]` and its `hits` below it".to_owned()),
            ));
        }
        let register = register(file, &said.register)?;
        let rhythms = said.bars.get_ref().iter().map(|bar| rhythm(file, &said, bar));
        Ok(BassStyle {
            rhythms: rhythms.collect::<Result<_, _>>()?,
            description: said.description,
            level: said.level,
            program: said.program.get(),
            straight: said.straight,
            register,
            velocity: Velocity::clamped(said.velocity.get().into()),
            legato_percent: said.legato.get(),
            roots: said.roots.get(),
        })
    }
}

fn register(file: &StyleFile, said: &Spanned<RegisterEntry>) -> Result<BassRegister, StyleError> {
    let RegisterEntry { lowest, highest, centre } = said.get_ref();
    let register = BassRegister { lowest: lowest.0, highest: highest.0, centre: centre.0 };
    let help = if u16::from(register.highest) < u16::from(register.lowest) + 12 {
        "let `highest` be at least an octave above `lowest`, so that every note has its place"
    } else if !(register.lowest..=register.highest).contains(&register.centre) {
        "let `centre` lie between `lowest` and `highest`"
    } else {
        return Ok(register);
    };
    Err(file.error(said.span(), "the register does not hold", Some(help.to_owned())))
}

fn rhythm(file: &StyleFile, style: &BassFile, bar: &BarEntry) -> Result<BassRhythm, StyleError> {
    let mut hits = Vec::new();
    for hit in &bar.hits {
        hits.extend(hits_of(file, style, bar, hit)?);
    }
    hits.sort_by_key(|hit: &BassHit| hit.at);
    Ok(BassRhythm { meter: bar.meter.0, weight: bar.weight.get(), hits })
}

fn hits_of(
    file: &StyleFile,
    style: &BassFile,
    bar: &BarEntry,
    hit: &HitEntry,
) -> Result<Vec<BassHit>, StyleError> {
    let role = *hit.play.get_ref();
    let (usual_velocity, usual_probability) = if role == BassRole::Ghost {
        let ghost = style.ghost.ok_or_else(|| {
            let help = "add `[ghost]` with `probability` and `velocity`";
            let message = "the style does not say how ghost notes are played";
            file.error(hit.play.span(), message, Some(help.to_owned()))
        })?;
        (ghost.velocity.get(), ghost.probability)
    } else {
        (style.velocity.get(), Probability::default())
    };
    if let Some(velocity) = &hit.velocity
        && role == BassRole::Ghost
        && i64::from(velocity.get_ref().get()) > LOUDEST_GHOST
    {
        let message = format!("a ghost note is at most {LOUDEST_GHOST} loud");
        return Err(file.error(velocity.span(), message, None));
    }
    let velocity = hit.velocity.as_ref().map_or(usual_velocity, |own| own.get_ref().get());
    let first = BassHit {
        at: Ticks::ZERO,
        role,
        length: hit.length.map(|length| length.ticks(bar.meter.0)),
        velocity: Velocity::clamped(velocity.into()),
        probability: hit.probability.unwrap_or(usual_probability).get(),
    };
    let places = times(file, bar.meter.0, &hit.at)?;
    Ok(places.into_iter().map(|at| BassHit { at, ..first }).collect())
}

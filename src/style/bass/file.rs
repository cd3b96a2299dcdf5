//! A bass style's file, and its check.

use serde::Deserialize;
use toml::Spanned;

use super::{BassHit, BassRegister, BassRhythm, BassRole, BassStyle};
use crate::style::bounded::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::{Counts, MeterText, times};
use crate::style::pitch_text::PitchText;
use crate::style::{Level, StyleError, StyleFile};
use crate::units::{Ticks, Velocity};

/// The loudest velocity at which our SoundFont's bass plays its muted hit.
const LOUDEST_GHOST: u8 = 36;

/// The file as TOML spells it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BassFile {
    description: String,
    level: Level,
    #[serde(default = "acoustic_bass")]
    program: Bounded<0, 127>,
    #[serde(default)]
    straight: bool,
    register: Spanned<RegisterEntry>,
    velocity: Bounded<1, 127>,
    #[serde(default = "to_the_next")]
    legato: Bounded<5, 100>,
    ghost: Option<GhostEntry>,
    #[serde(rename = "bar")]
    bars: Spanned<Vec<BarEntry>>,
}

/// `[register]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct RegisterEntry {
    lowest: PitchText,
    highest: PitchText,
    centre: PitchText,
}

/// `[ghost]`
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct GhostEntry {
    probability: Probability,
    velocity: Bounded<5, LOUDEST_GHOST>,
}

/// `[[bar]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct BarEntry {
    #[serde(default)]
    meter: MeterText,
    #[serde(default)]
    weight: Weight,
    hits: Vec<HitEntry>,
}

/// An entry of `hits`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct HitEntry {
    at: Spanned<Counts>,
    play: Spanned<BassRole>,
    length: Option<CountLength>,
    velocity: Option<Spanned<Bounded<1, 127>>>,
    probability: Option<Probability>,
}

fn acoustic_bass() -> Bounded<0, 127> {
    Bounded::nearest(32)
}

fn to_the_next() -> Bounded<5, 100> {
    Bounded::nearest(100)
}

impl BassStyle {
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
        && velocity.get_ref().get() > LOUDEST_GHOST
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

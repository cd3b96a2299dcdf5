//! A bass style's file, and its check.

use serde::Deserialize;
use toml::Spanned;

use super::{BassRegister, BassRhythm, BassRole, BassStroke, BassStyle};
use crate::style::bounded::{Bounded, CountLength, Probability, Weight};
use crate::style::counts::{Counts, MeterText, times};
use crate::style::pitch_text::PitchText;
use crate::style::{Level, StyleError, StyleFile};
use crate::units::{Ticks, Velocity};

/// The loudest velocity at which our SoundFont's bass plays its muted note.
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
    length: Bounded<5, 100>,
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
    milliseconds: Bounded<60, 90>,
}

/// `[[bar]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct BarEntry {
    #[serde(default)]
    meter: MeterText,
    #[serde(default)]
    weight: Weight,
    notes: Vec<NoteEntry>,
}

/// An entry of `notes`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NoteEntry {
    at: Spanned<Counts>,
    play: Spanned<BassRole>,
    length: Option<CountLength>,
    velocity: Option<Spanned<Bounded<1, 127>>>,
    probability: Option<Probability>,
}

fn acoustic_bass() -> Bounded<0, 127> {
    Bounded::nearest(32)
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
                Some("write `[[bar]]` and its `notes` below it".to_owned()),
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
            length_percent: said.length.get(),
            ghost_milliseconds: said.ghost.map_or(75, |ghost| ghost.milliseconds.get()),
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
    let mut strokes = Vec::new();
    for note in &bar.notes {
        strokes.extend(strokes_of(file, style, bar, note)?);
    }
    strokes.sort_by_key(|stroke: &BassStroke| stroke.at);
    Ok(BassRhythm { meter: bar.meter.0, weight: bar.weight.get(), strokes })
}

fn strokes_of(
    file: &StyleFile,
    style: &BassFile,
    bar: &BarEntry,
    note: &NoteEntry,
) -> Result<Vec<BassStroke>, StyleError> {
    let role = *note.play.get_ref();
    let (usual_velocity, usual_probability) = if role == BassRole::Ghost {
        let ghost = style.ghost.ok_or_else(|| {
            let help = "add `[ghost]` with `probability`, `velocity` and `milliseconds`";
            let message = "the style does not say how ghost notes are played";
            file.error(note.play.span(), message, Some(help.to_owned()))
        })?;
        (ghost.velocity.get(), ghost.probability)
    } else {
        (style.velocity.get(), Probability::default())
    };
    if let Some(velocity) = &note.velocity
        && role == BassRole::Ghost
        && velocity.get_ref().get() > LOUDEST_GHOST
    {
        let message = format!("a ghost note is at most {LOUDEST_GHOST} loud");
        return Err(file.error(velocity.span(), message, None));
    }
    let velocity = note.velocity.as_ref().map_or(usual_velocity, |own| own.get_ref().get());
    let stroke = BassStroke {
        at: Ticks::ZERO,
        role,
        length: note.length.map(|length| length.ticks(bar.meter.0)),
        velocity: Velocity::clamped(velocity.into()),
        probability: note.probability.unwrap_or(usual_probability).get(),
    };
    let places = times(file, bar.meter.0, &note.at)?;
    Ok(places.into_iter().map(|at| BassStroke { at, ..stroke }).collect())
}

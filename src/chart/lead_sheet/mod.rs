//! The chords of a MusicXML lead sheet as a chart: `measures` makes bars of what is written,
//! `settings` says in which key, meter and tempo they are, `order` in which order they are played.

mod measures;
mod order;
mod settings;

use super::error::Problem;
use super::{Bar, Chart, FeelName, Roadmap, Slot};
use crate::codec::musicxml::{LeadSheet, Measure};
use crate::theory::{Key, KindError};

use measures::{slots, whole_measures};
pub use order::CodaIn;
use order::{Step, Way, way};

/// What a lesson says about a chart that comes from a lead sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadSheetSource<'a> {
    /// The name that tracks refer to.
    pub name: &'a str,
    /// The key, where the lesson names one; else the file's. Many programs write major signatures
    /// for minor tunes, so a minor key should be named.
    pub key: Option<Key>,
    /// How its eighth notes are played.
    pub feel: FeelName,
    /// Where its coda is played, if it has one.
    pub coda: CodaIn,
    /// What becomes of chords that do not exist.
    pub unknown_chords: UnknownChords,
    /// The file.
    pub sheet: &'a LeadSheet,
}

/// What becomes of a chord that no symbol spells, or that cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnknownChords {
    /// Each is an error.
    #[default]
    Refused,
    /// Each is N.C., and told.
    Silent,
}

/// Something in a lead sheet that no chart can hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("measure {measure}: {problem}")]
pub struct LeadSheetError {
    /// The measure's printed number.
    pub measure: String,
    /// What is wrong.
    pub problem: LeadSheetProblem,
}

/// What is wrong with a measure.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LeadSheetProblem {
    /// A meter that is not played.
    #[error("the meter is {beats}/{beat_type}; a chart has 4/4, 3/4, 5/4, 6/8, 2/2 and 2/4")]
    Meter {
        /// The number above.
        beats: u8,
        /// The number below.
        beat_type: u8,
    },
    /// A chord that no symbol spells.
    #[error(transparent)]
    Chord(#[from] KindError),
    /// A chord that cannot be read.
    #[error("{0}")]
    UnreadChord(String),
    /// D.S. without a segno before it, or with several of which none has its name.
    #[error("D.S. leads to no segno before it")]
    NoSegno,
    /// To Coda without a coda after it, or with several of which none has its name.
    #[error("To Coda leads to no coda after it")]
    NoCoda,
    /// A coda that nothing leads to.
    #[error("nothing leads to this coda")]
    NoWayToCoda,
    /// A broken repeat, or too many bars.
    #[error(transparent)]
    Form(Problem),
}

/// A chart, and what the reader should hear about how it came to be.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedChart {
    /// The chart, with repeats written out; rehearsal marks are its sections.
    pub chart: Chart,
    /// What was left out or moved, each with its measure.
    pub warnings: Vec<String>,
}

impl LeadSheetProblem {
    /// What to do about it, in a sentence without a full stop.
    #[must_use]
    pub const fn help(&self) -> &'static str {
        match self {
            Self::Chord(_) | Self::UnreadChord(_) => {
                "correct it in the file; or write `unknown-chords = \"N.C.\"` in the chart, and the \
                 band rests where it stands"
            }
            Self::NoSegno => "put a segno where the repeat begins, or make it a D.C.",
            Self::NoCoda => "put a coda sign where the coda begins",
            Self::NoWayToCoda => "write To Coda where the jump to it is",
            Self::Meter { .. } | Self::Form(_) => "",
        }
    }
}

impl LeadSheetSource<'_> {
    /// Takes the chords. A chord stands on the nearest count of its measure; a measure without
    /// one goes on with the chord before; measures of the melody's pickup are left out. A section
    /// marked `Intro` at the start is played once, before the first chorus, and one marked `Outro` at
    /// the end after the last.
    ///
    /// # Errors
    /// Everything that a chart cannot hold.
    pub fn import(&self) -> Result<ImportedChart, Vec<LeadSheetError>> {
        let measures = whole_measures(&self.sheet.measures);
        let mut warnings = self.sheet.warnings.clone();
        let mut errors = Vec::new();
        let settings = self.settings(&measures, &mut warnings, &mut errors);
        let mut filled: Vec<Vec<Slot>> = Vec::new();
        for (measure, setting) in measures.iter().zip(&settings) {
            let before = filled.last().and_then(|slots| slots.last());
            let sounding = before.and_then(|slot| slot.chord.clone());
            let (slots, unknown) = slots(measure, setting.meter, sounding, &mut warnings);
            filled.push(slots);
            let unknown = unknown.into_iter().map(|problem| error_in(measure, problem));
            match self.unknown_chords {
                UnknownChords::Refused => errors.extend(unknown),
                UnknownChords::Silent => {
                    warnings.extend(unknown.map(|error| format!("{error}; N.C. is played")));
                }
            }
        }
        let way = way(&measures, self.coda).unwrap_or_else(|dead_ends| {
            errors.extend(dead_ends);
            Way::default()
        });
        let (Some(home), true) = (settings.first(), errors.is_empty()) else {
            return Err(errors);
        };
        warnings.extend(self.told(&measures, &way));
        let bars = |steps: &[Step]| {
            let bar = |(position, step): (usize, &Step)| Bar {
                form_bar: 0,
                setting: settings[step.measure],
                hits: None,
                section: section_beginning(&measures, *step, position == 0),
                slots: filled[step.measure].clone(),
            };
            steps.iter().enumerate().map(bar).collect::<Vec<Bar>>()
        };
        let beside = |steps: &[Step], name: &str| {
            let mut bars = bars(steps);
            if let Some(first) = bars.first_mut() {
                first.section = Some(name.to_owned());
            }
            numbered(bars)
        };
        let last = way.last.as_ref().map(|last| {
            let mut of_last = bars(last);
            let numbers = numbers_in_form(&way.chorus, last);
            for (bar, number) in of_last.iter_mut().zip(numbers) {
                bar.form_bar = number;
            }
            of_last
        });
        let roadmap = Roadmap {
            intro: beside(&way.intro, "intro"),
            interlude: Vec::new(),
            last,
            outro: beside(&way.outro, "outro"),
        };
        let chart = Chart {
            name: self.name.to_owned(),
            key: home.key,
            meter: home.meter,
            feel: self.feel,
            bars: numbered(bars(&way.chorus)),
            roadmap,
        };
        Ok(ImportedChart { chart, warnings })
    }

    /// What the teacher should know of the way through the file.
    fn told(&self, measures: &[Measure], way: &Way) -> Vec<String> {
        let mut told = Vec::new();
        if way.may_be_last {
            let help = "with `coda = \"last chorus\"` only the last has it";
            told.push(format!("the coda is played in every chorus; {help}"));
        }
        if self.coda == CodaIn::LastChorus && way.last.is_none() {
            told.push("there is no coda for the last chorus".to_owned());
        }
        let mut unplayed = vec![true; measures.len()];
        way.steps().for_each(|step| unplayed[step.measure] = false);
        let mut unplayed = measures.iter().zip(unplayed).filter(|(_, is)| *is);
        if let Some((first, _)) = unplayed.next() {
            let more = match unplayed.count() {
                0 => String::new(),
                more => format!(", and {more} more"),
            };
            told.push(format!("measure {}{more}: no way leads through", first.number));
        }
        told
    }
}

/// A sheet's measures in the order of one chorus, for a line that goes over a chart: without the intro
/// that the chart has for itself, with the coda unless that is for the chart's last chorus. A pickup
/// stands before them.
///
/// # Errors
/// Repeats and jumps that are broken.
pub fn one_chorus(sheet: &LeadSheet, chart: &Chart) -> Result<LeadSheet, Vec<LeadSheetError>> {
    let roadmap = &chart.roadmap;
    let coda = if roadmap.last.is_some() { CodaIn::LastChorus } else { CodaIn::EveryChorus };
    let whole = whole_measures(&sheet.measures);
    let way = way(&whole, coda)?;
    let intro = way.intro.iter().filter(|_| roadmap.intro.is_empty());
    let outro = way.outro.iter().filter(|_| roadmap.outro.is_empty());
    let steps = intro.chain(&way.chorus).chain(outro);
    let pickup = sheet.measures.iter().take_while(|measure| !measure.counted);
    let measures = pickup.chain(steps.map(|step| &whole[step.measure])).cloned().collect();
    Ok(LeadSheet { measures, ..sheet.clone() })
}

fn numbered(mut bars: Vec<Bar>) -> Vec<Bar> {
    for (number, bar) in (0..).zip(&mut bars) {
        bar.form_bar = number;
    }
    bars
}

fn error_in(measure: &Measure, problem: LeadSheetProblem) -> LeadSheetError {
    LeadSheetError { measure: measure.number.clone(), problem }
}

fn section(measure: &Measure) -> Option<String> {
    measure.rehearsal.as_ref().map(|mark| mark.trim().to_owned()).filter(|mark| !mark.is_empty())
}

/// The section that begins with a measure: the marked one, a coda, and at the start of a passage or
/// after a jump the one that goes on there, `A` if none is marked.
fn section_beginning(measures: &[Measure], step: Step, is_first: bool) -> Option<String> {
    let measure = &measures[step.measure];
    let own = section(measure).or_else(|| measure.coda.as_ref().map(|_| "coda".to_owned()));
    own.or_else(|| {
        let running = || measures[..step.measure].iter().rev().find_map(section);
        (is_first || step.lands).then(|| running().unwrap_or_else(|| "A".to_owned()))
    })
}

/// Which bars of the form those of the last chorus are, in their order; those that it has for itself
/// count on from the form's last.
fn numbers_in_form(chorus: &[Step], last: &[Step]) -> Vec<u32> {
    let (mut from, mut end) = (0, chorus.len());
    let number = |step: &Step| {
        let ahead = chorus.get(from..).unwrap_or_default();
        let place = match ahead.iter().position(|ahead| ahead.measure == step.measure) {
            Some(place) => {
                from += place + 1;
                from - 1
            }
            None => {
                end += 1;
                end - 1
            }
        };
        u32::try_from(place).unwrap_or(u32::MAX)
    };
    last.iter().map(number).collect()
}

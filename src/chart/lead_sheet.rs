//! The chords of a MusicXML lead sheet as a chart.

use super::bars::WrittenBar;
use super::error::{Found, Problem};
use super::{Bar, Chart, FeelName, Pace, Roadmap, Setting, Slot, repeat};
use crate::codec::musicxml::{DegreeKind, HarmonyElement, LeadSheet, Measure};
use crate::theory::{Change, ChordSymbol, DegreeChange, Key, KindError, Mode};
use crate::units::{Meter, Ticks};

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
    /// The file.
    pub sheet: &'a LeadSheet,
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
    /// A meter that is not played, or a second one.
    #[error("the meter is {beats}/{beat_type}; a chart keeps one of 4/4, 3/4, 5/4, 6/8 and 2/2")]
    Meter {
        /// The number above.
        beats: u8,
        /// The number below.
        beat_type: u8,
    },
    /// A chord that no symbol spells.
    #[error(transparent)]
    Chord(#[from] KindError),
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

impl LeadSheetSource<'_> {
    /// Takes the chords. A chord stands on the nearest count of its measure; a measure without
    /// one goes on with the chord before; measures of the melody's pickup are left out.
    ///
    /// # Errors
    /// Everything that a chart cannot hold.
    pub fn import(&self) -> Result<ImportedChart, Vec<LeadSheetError>> {
        let measures = whole_measures(&self.sheet.measures);
        let mut warnings = self.sheet.warnings.clone();
        let mut errors = Vec::new();
        let meter = self.meter(&mut errors);
        let key = self.key(&mut warnings);

        let mut filled: Vec<Vec<Slot>> = Vec::new();
        for measure in &measures {
            let before = filled.last().and_then(|slots| slots.last());
            let sounding = before.and_then(|slot| slot.chord.clone());
            match slots(measure, meter, sounding, &mut warnings) {
                Ok(slots) => filled.push(slots),
                Err(error) => errors.push(error_in(measure, error.into())),
            }
        }
        let order = play_order(&measures).unwrap_or_else(|error| {
            errors.push(error);
            Vec::new()
        });
        if !errors.is_empty() {
            return Err(errors);
        }
        let setting = Setting { key, meter, feel: self.feel, pace: Pace::STEADY };
        let bar = |(position, &index): (usize, &usize)| Bar {
            form_bar: u32::try_from(position).unwrap_or(u32::MAX),
            setting,
            hits: None,
            section: section(&measures[index]).or((position == 0).then(|| "A".to_owned())),
            slots: filled[index].clone(),
        };
        let bars = order.iter().enumerate().map(bar).collect();
        let roadmap = Roadmap::default();
        let chart =
            Chart { name: self.name.to_owned(), key, meter, feel: self.feel, bars, roadmap };
        Ok(ImportedChart { chart, warnings })
    }

    /// The one meter; common time where the file says none.
    fn meter(&self, errors: &mut Vec<LeadSheetError>) -> Meter {
        let mut meter = None;
        for measure in &self.sheet.measures {
            let Some(time) = measure.time else { continue };
            let named = Meter::ALL.into_iter().find(|meter| {
                (meter.numerator(), meter.denominator()) == (time.beats, time.beat_type)
            });
            if named.is_none() || meter.is_some_and(|meter| Some(meter) != named) {
                let (beats, beat_type) = (time.beats, time.beat_type);
                errors.push(error_in(measure, LeadSheetProblem::Meter { beats, beat_type }));
            }
            meter = meter.or(named);
        }
        meter.unwrap_or(Meter::FourFour)
    }

    fn key(&self, warnings: &mut Vec<String>) -> Key {
        let signature = self.sheet.measures.iter().find_map(|measure| measure.key);
        let of_file = signature.and_then(|key| {
            Key::of_signature(key.fifths, if key.minor { Mode::Minor } else { Mode::Major })
        });
        self.key.or(of_file).unwrap_or_else(|| {
            warnings.push("the file has no key signature: C major is assumed".to_owned());
            Key::C
        })
    }
}

/// The measures without the melody's pickup. A later one that does not count as its own (the end
/// of a bar that a repeat sign splits) belongs to the one before.
fn whole_measures(measures: &[Measure]) -> Vec<Measure> {
    let mut whole: Vec<Measure> = Vec::new();
    for measure in measures.iter().skip_while(|measure| !measure.counted) {
        match whole.last_mut().filter(|_| !measure.counted) {
            Some(before) => {
                let moved = |harmony: &HarmonyElement| HarmonyElement {
                    at: harmony.at + before.length,
                    ..harmony.clone()
                };
                before.harmonies.extend(measure.harmonies.iter().map(moved));
                before.length += measure.length;
                before.repeat_end = before.repeat_end.or(measure.repeat_end);
            }
            None => whole.push(measure.clone()),
        }
    }
    whole
}

fn error_in(measure: &Measure, problem: LeadSheetProblem) -> LeadSheetError {
    LeadSheetError { measure: measure.number.clone(), problem }
}

fn section(measure: &Measure) -> Option<String> {
    measure.rehearsal.as_ref().map(|mark| mark.trim().to_owned()).filter(|mark| !mark.is_empty())
}

/// What sounds in a measure; `sounding` goes on until its first chord.
fn slots(
    measure: &Measure,
    meter: Meter,
    sounding: Option<ChordSymbol>,
    warnings: &mut Vec<String>,
) -> Result<Vec<Slot>, KindError> {
    let mut changes: Vec<(Ticks, Option<ChordSymbol>)> = vec![(Ticks::ZERO, sounding)];
    for harmony in &measure.harmonies {
        let chord = chord(harmony)?;
        let at = nearest_count(harmony.at, meter);
        if at != harmony.at {
            let shown = chord.as_ref().map_or("N.C.".to_owned(), ToString::to_string);
            let count = at.0 / meter.count().0 + 1;
            let number = &measure.number;
            warnings.push(format!("measure {number}: {shown} is moved to count {count}"));
        }
        changes.retain(|(earlier, _)| *earlier < at);
        changes.push((at, chord));
    }
    let ends = changes.iter().skip(1).map(|(at, _)| *at).chain([meter.bar()]);
    let slots = changes.iter().zip(ends).map(|((at, chord), end)| Slot {
        at: *at,
        length: end - *at,
        chord: chord.clone(),
    });
    Ok(slots.collect())
}

/// The nearest count inside the bar.
fn nearest_count(at: Ticks, meter: Meter) -> Ticks {
    let count = meter.count().0;
    let nearest = (at.0 + count / 2).div_euclid(count);
    Ticks(nearest.clamp(0, i64::from(meter.counts()) - 1) * count)
}

fn chord(harmony: &HarmonyElement) -> Result<Option<ChordSymbol>, KindError> {
    let change = |degree: &crate::codec::musicxml::DegreeElement| DegreeChange {
        change: match degree.kind {
            DegreeKind::Add => Change::Add,
            DegreeKind::Alter => Change::Alter,
            DegreeKind::Subtract => Change::Subtract,
        },
        number: degree.value,
        alter: degree.alter,
    };
    let changes: Vec<DegreeChange> = harmony.degrees.iter().map(change).collect();
    let bass = harmony.bass;
    ChordSymbol::from_kind(harmony.root, &harmony.kind, &changes, bass)
}

/// The measures in the order in which they are played; a chart's repeats and a sheet's are the
/// same thing, the number of a measure standing for the bytes of a bar.
fn play_order(measures: &[Measure]) -> Result<Vec<usize>, LeadSheetError> {
    let written = |(index, measure): (usize, &Measure)| {
        let span = index..index + 1;
        WrittenBar {
            words: Vec::new(),
            opens: measure.repeat_start.then(|| span.clone()),
            closes: measure.repeat_end.map(|_| span.clone()),
            times: measure.repeat_end.unwrap_or(0),
            endings: measure.endings.clone(),
            span,
        }
    };
    let bars: Vec<WrittenBar<'_>> = measures.iter().enumerate().map(written).collect();
    let in_measure = |Found { span, problem }| LeadSheetError {
        measure: measures.get(span.start).map_or_else(String::new, |bar| bar.number.clone()),
        problem: LeadSheetProblem::Form(problem),
    };
    let order = repeat::play_order(&bars).map_err(in_measure)?;
    if order.is_empty() {
        return Err(in_measure(Found::at(0..0, Problem::NoBars)));
    }
    Ok(order)
}

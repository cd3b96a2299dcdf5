//! Key, meter and tempo of every measure of a lead sheet.

use super::super::{Pace, Setting};
use super::{LeadSheetError, LeadSheetProblem, LeadSheetSource, error_in};
use crate::codec::musicxml::{KeySignature, Measure, TimeSignature};
use crate::theory::{Key, Mode};
use crate::units::{Meter, Tempo};

impl LeadSheetSource<'_> {
    /// What holds in each measure; common time where the file says none.
    pub(super) fn settings(
        &self,
        measures: &[Measure],
        warnings: &mut Vec<String>,
        errors: &mut Vec<LeadSheetError>,
    ) -> Vec<Setting> {
        let signature = measures.iter().find_map(|measure| measure.key);
        let home = self.key.or(signature.and_then(named)).unwrap_or_else(|| {
            warnings.push("the file has no key signature: C major is assumed".to_owned());
            Key::C
        });
        if measures.first().is_some_and(|first| first.time.is_none()) {
            warnings.push("the file begins with no time signature: 4/4 is assumed".to_owned());
        }
        let mut setting =
            Setting { key: home, meter: Meter::FourFour, feel: self.feel, pace: Pace::STEADY };
        let tempo = measures.iter().find_map(|measure| measure.tempo);
        let mut settings = Vec::new();
        for measure in measures {
            if let Some(key) = measure.key {
                // The lesson names the key of the signature that the file begins with.
                let is_home = signature.is_some_and(|first| first.fifths == key.fifths);
                setting.key = if is_home { home } else { named(key).unwrap_or(setting.key) };
            }
            if let Some(time) = measure.time {
                setting.meter = meter(time).unwrap_or_else(|| {
                    let (beats, beat_type) = (time.beats, time.beat_type);
                    errors.push(error_in(measure, LeadSheetProblem::Meter { beats, beat_type }));
                    setting.meter
                });
            }
            if let Some((first, now)) = tempo.zip(measure.tempo) {
                setting.pace = pace(first, now).unwrap_or_else(|| {
                    let number = &measure.number;
                    let told = "the tempo is too far from the first, and is let pass";
                    warnings.push(format!("measure {number}: {told}"));
                    setting.pace
                });
            }
            settings.push(setting);
        }
        settings
    }
}

fn named(key: KeySignature) -> Option<Key> {
    Key::of_signature(key.fifths, if key.minor { Mode::Minor } else { Mode::Major })
}

fn meter(time: TimeSignature) -> Option<Meter> {
    let is_time =
        |meter: &Meter| (meter.numerator(), meter.denominator()) == (time.beats, time.beat_type);
    Meter::ALL.into_iter().find(is_time)
}

/// A tempo against the first one, in whole hundredths.
fn pace(first: Tempo, now: Tempo) -> Option<Pace> {
    let now = u64::from(now.0.max(1));
    let hundredths = (u64::from(first.0) * 100 + now / 2) / now;
    u16::try_from(hundredths).ok().and_then(Pace::even)
}

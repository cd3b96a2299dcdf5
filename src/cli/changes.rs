//! What the command line says in place of what lessons say.

use std::collections::BTreeMap;

use super::args::{Bits, Choice, Format, Making};
use super::failure::Failure;
use super::report::Report;
use crate::arrange::{KeyOrder, Shape};
use crate::codec::wav::SampleFormat;
use crate::deliver::Container;
use crate::lesson::{ChartId, HOW_TO_BUILD, Lesson, NOT_BUILT};
use crate::theory::Key;
use crate::units::Bpm;

/// Changes to lessons. What is empty leaves a lesson as it is.
#[derive(Debug, Clone, Default)]
pub(super) struct Changes {
    /// In order, none twice.
    tempos: Vec<Bpm>,
    keys: Option<KeyOrder>,
    /// In order, none twice.
    formats: Vec<Container>,
    samples: Option<SampleFormat>,
    bar_times: bool,
    zip: bool,
}

impl Changes {
    /// Those that were typed for some lessons.
    pub(super) fn of(choice: &Choice, making: &Making) -> Result<Changes, Failure> {
        let keys = choice.keys.as_deref();
        Ok(Changes { tempos: tempos(&choice.tempos)?, ..Changes::of_keys(keys, making)? })
    }

    /// Those of keys and of what files are like.
    pub(super) fn of_keys(keys: Option<&str>, making: &Making) -> Result<Changes, Failure> {
        Ok(Changes {
            tempos: Vec::new(),
            keys: keys.map(|keys| key_order("--keys", keys)).transpose()?,
            formats: formats(&making.format)?,
            samples: making.bits.map(|bits| match bits {
                Bits::Sixteen => SampleFormat::Int16,
                Bits::TwentyFour => SampleFormat::Int24,
                Bits::Float => SampleFormat::Float32,
            }),
            bar_times: making.bar_times,
            zip: making.zip,
        })
    }

    /// One key in place of all others.
    pub(super) fn of_one_key(key: Option<&str>) -> Result<Changes, Failure> {
        let keys = key.map(|key| key_order("--key", key)).transpose()?;
        Ok(Changes { keys, ..Changes::default() })
    }

    /// Makes them.
    pub(super) fn apply(&self, lesson: &mut Lesson) {
        let written: BTreeMap<ChartId, Key> =
            lesson.charts().map(|(id, chart)| (id, chart.key)).collect();
        if let Some(keys) = &self.keys {
            let told =
                lesson.charts().filter_map(|(_, chart)| keys.of_other_mode(&chart.name, chart.key));
            let told: Vec<String> = told.collect();
            lesson.warnings.extend(told);
        }
        for track in &mut lesson.tracks {
            if !self.tempos.is_empty() && !matches!(track.shape, Shape::Ladder { .. }) {
                track.tempos.clone_from(&self.tempos);
                track.at_tempo = None;
            }
            if let Some(keys) = &self.keys {
                track.keys = keys.keys(written[&track.chart]);
                if matches!(track.shape, Shape::RoundTheKeys { .. }) {
                    track.keys.truncate(1);
                }
            }
        }
        if !self.formats.is_empty() {
            lesson.formats.clone_from(&self.formats);
        }
        if let Some(samples) = self.samples {
            lesson.samples = samples;
        }
        lesson.bar_times |= self.bar_times;
        lesson.zip |= self.zip;
    }
}

fn tempos(typed: &[f64]) -> Result<Vec<Bpm>, Failure> {
    let mut tempos: Vec<Bpm> = Vec::new();
    for bpm in typed {
        let tempo = Bpm::new(*bpm).map_err(|error| {
            Failure::input(Report::new(format!("--tempos: {error}")).help("use 20 to 400"))
        })?;
        if !tempos.contains(&tempo) {
            tempos.push(tempo);
        }
    }
    Ok(tempos)
}

fn key_order(option: &str, typed: &str) -> Result<KeyOrder, Failure> {
    let key = |name: &str| {
        name.parse::<Key>().map_err(|error| {
            let help = "write keys as Gm,Cm, or fourths, or semitones";
            Failure::input(Report::new(format!("{option}: {error}")).help(help))
        })
    };
    Ok(match typed {
        "fourths" => KeyOrder::Fourths,
        "semitones" => KeyOrder::Semitones,
        list => KeyOrder::List(list.split(',').map(key).collect::<Result<_, _>>()?),
    })
}

fn formats(typed: &[Format]) -> Result<Vec<Container>, Failure> {
    let mut formats = Vec::new();
    for format in typed {
        let container = match format {
            Format::Wav => Container::Wav,
            Format::Flac => Container::Flac,
            Format::Mp3 => Container::Mp3,
        };
        if !container.is_built() {
            let report = Report::new(format!("--format: {NOT_BUILT}")).help(HOW_TO_BUILD);
            return Err(Failure::input(report));
        }
        if !formats.contains(&container) {
            formats.push(container);
        }
    }
    formats.sort_unstable();
    Ok(formats)
}

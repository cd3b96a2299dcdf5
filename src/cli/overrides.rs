//! What the command line says in place of the lesson.

use miette::miette;

use super::Failure;
use super::args::Format;
use crate::arrange::{KeyOrder, Shape};
use crate::deliver::Container;
use crate::lesson::{HOW_TO_BUILD, Lesson, NOT_BUILT, Track};
use crate::problem::nearest;
use crate::theory::Key;
use crate::units::Bpm;

/// Tempos in place of the lesson's; none leave it as it is.
pub(super) fn tempos(lesson: &mut Lesson, tempos: &[f64]) -> Result<(), Failure> {
    if tempos.is_empty() {
        return Ok(());
    }
    let mut wanted: Vec<Bpm> = Vec::new();
    for bpm in tempos {
        let tempo = Bpm::new(*bpm).map_err(|error| {
            Failure::input(miette!(help = "use 20 to 400", "--tempos: {error}"))
        })?;
        if !wanted.contains(&tempo) {
            wanted.push(tempo);
        }
    }
    for track in &mut lesson.tracks {
        if !matches!(track.shape, Shape::Ladder { .. }) {
            track.tempos.clone_from(&wanted);
            track.at_tempo = None;
        }
    }
    Ok(())
}

/// Keys in place of the lesson's. A list of keys may name the tonics alone: each chart keeps its
/// mode.
pub(super) fn keys(lesson: &mut Lesson, keys: Option<&str>) -> Result<(), Failure> {
    let Some(keys) = keys else { return Ok(()) };
    for track in &mut lesson.tracks {
        let written = lesson.charts[track.chart].key;
        track.keys = match keys {
            "fourths" => KeyOrder::Fourths.keys(written),
            "semitones" => KeyOrder::Semitones.keys(written),
            list => key_list(list, written)?,
        };
        if matches!(track.shape, Shape::RoundTheKeys { .. }) {
            track.keys.truncate(1);
        }
    }
    Ok(())
}

fn key_list(list: &str, written: Key) -> Result<Vec<Key>, Failure> {
    let mut keys: Vec<Key> = Vec::new();
    for name in list.split(',') {
        let help = "write keys as Gm,Cm, or fourths, or semitones";
        let key: Key = name
            .parse()
            .map_err(|error| Failure::input(miette!(help = help, "--keys: {error}")))?;
        let usual = Key::usual(key.tonic.pitch_class(), written.mode);
        let same_mode = Key { mode: written.mode, ..key };
        let key = if same_mode.signature().abs() <= 7 { same_mode } else { usual };
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    Ok(keys)
}

/// Formats in place of the lesson's; none leave it as it is.
pub(super) fn formats(lesson: &mut Lesson, formats: &[Format]) -> Result<(), Failure> {
    if formats.is_empty() {
        return Ok(());
    }
    lesson.formats.clear();
    for format in formats {
        let container = match format {
            Format::Wav => Container::Wav,
            Format::Flac => Container::Flac,
            Format::Mp3 => Container::Mp3,
        };
        if !container.is_built() {
            return Err(Failure::input(miette!(help = HOW_TO_BUILD, "--format: {NOT_BUILT}")));
        }
        if !lesson.formats.contains(&container) {
            lesson.formats.push(container);
        }
    }
    lesson.formats.sort_unstable();
    Ok(())
}

/// The track of a name or number, as an index.
pub(super) fn track_named(lesson: &Lesson, name: &str) -> Result<usize, Failure> {
    let is_meant = |track: &Track| track.name == name || track.number.to_string() == name;
    lesson.tracks.iter().position(is_meant).ok_or_else(|| {
        let names = lesson.tracks.iter().map(|track| track.name.as_str());
        let list: Vec<String> =
            lesson.tracks.iter().map(|track| format!("{} {}", track.number, track.name)).collect();
        let list = list.join("; ");
        let help = match nearest(name, names) {
            Some(right) => format!("did you mean `{right}`? The tracks are: {list}"),
            None => format!("the tracks are: {list}"),
        };
        Failure::input(miette!(help = help, "the lesson has no track `{name}`"))
    })
}

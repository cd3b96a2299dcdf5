//! `countoff check`: a teacher sees a lesson before hearing it.

mod hands;

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use super::args::Check;
use super::changes::Changes;
use super::failure::Failure;
use super::input::ReadLesson;
use super::sources::Sources;
use super::{course, input, output, sounds, tracks};
use crate::lesson::Track;
use crate::performance::Part;
use crate::plan::{Plan, TakePlan};
use crate::units::Bpm;

#[derive(Serialize)]
struct Checked {
    title: String,
    tracks: Vec<CheckedTrack>,
    warnings: Vec<String>,
}

#[derive(Serialize)]
struct CheckedTrack {
    track: String,
    key: String,
    bars: Vec<Vec<CheckedChord>>,
}

#[derive(Serialize)]
struct CheckedChord {
    chord: String,
    notes: Vec<String>,
}

impl From<hands::Chord> for CheckedChord {
    fn from(chord: hands::Chord) -> CheckedChord {
        CheckedChord { notes: chord.names(), chord: chord.symbol }
    }
}

/// Shows each track's chart with its voicings; of a course, one lesson after the other.
pub(super) fn run(options: &Check) -> Result<(), Failure> {
    let lessons = course::lessons(&options.lesson)?;
    let mut failures = Vec::new();
    for (index, path) in lessons.iter().enumerate() {
        if index > 0 && !options.json {
            output::text("")?;
        }
        failures.extend(check(&path.file, options).err());
    }
    Failure::together(failures)
}

fn check(path: &Path, options: &Check) -> Result<(), Failure> {
    let changes = Changes::of_one_key(options.key.as_deref())?;
    let mut read = input::lesson(path, &Sources::default())?;
    instruments(path, &read)?;
    changes.apply(&mut read.lesson);
    let only = options.only.as_deref().map(|name| tracks::named(&read.lesson, name));
    let only = only.transpose()?;
    read.lesson.tracks.iter_mut().for_each(leave_two_tempos);
    let lesson = &read.lesson;
    let wanted = |track: &Track| only.is_none_or(|only| lesson.tracks[only].number == track.number);
    let plan = Plan::of(lesson, &read.library, wanted);
    let plan = plan.map_err(|error| Failure::of_plan(&error))?;
    let is_shown = |take: &&TakePlan| lesson.tracks[take.track].tempos.first() == Some(&take.tempo);
    let takes: Vec<&TakePlan> = plan.takes.iter().filter(is_shown).collect();
    let warnings = || lesson.warnings.iter().chain(&plan.warnings);
    if options.json {
        let tracks = takes.into_iter().map(|take| CheckedTrack {
            track: lesson.tracks[take.track].name.clone(),
            key: take.key.to_string(),
            bars: hands::chords(take)
                .into_iter()
                .map(|bar| bar.into_iter().map(CheckedChord::from).collect())
                .collect(),
        });
        return output::json(&Checked {
            title: lesson.title.clone(),
            tracks: tracks.collect(),
            warnings: warnings().cloned().collect(),
        });
    }
    let mut text = format!("{}\n", lesson.title);
    for take in takes {
        let track = &lesson.tracks[take.track];
        let chart = lesson.chart(track.chart);
        let lines = track.lines().chain(track.left_hand).map(|id| lesson.line(id).name.as_str());
        let styles = [Part::Comp, Part::Bass, Part::Drums].map(|part| track.styles(part));
        let players: Vec<&str> = lines.chain(styles.into_iter().flatten()).collect();
        let _ = writeln!(
            text,
            "\n{} {} ({}), {} in {}, {}\n",
            track.number,
            track.name,
            players.join(", "),
            chart.name,
            take.key,
            chart.meter
        );
        text.push_str(&chart.transpose(take.key).to_string());
        text.push('\n');
        text.push_str(&hands::shown(take));
    }
    for warning in warnings() {
        let _ = writeln!(text, "\nnote: {warning}");
    }
    output::text(&text)
}

/// Leaves the tempo that is shown, the first, and the slowest, at which it is found out whether
/// the take is too long for its files.
fn leave_two_tempos(track: &mut Track) {
    let slowest =
        track.tempos.iter().copied().min_by(|one, other| one.get().total_cmp(&other.get()));
    let first = track.tempos.first().copied();
    track.tempos = first
        .into_iter()
        .chain(slowest.filter(|slowest| Some(*slowest) != first))
        .collect::<Vec<Bpm>>();
}

/// Whether the SoundFont, if it is to be had here, has what the lines are played on; the piano is in
/// every one.
fn instruments(path: &Path, read: &ReadLesson) -> Result<(), Failure> {
    let lesson = &read.lesson;
    if lesson.lines().all(|(_, line)| line.instrument.is_none()) {
        return Ok(());
    }
    let source = sounds::choose(None, read.soundfont());
    let Ok(font) = sounds::open(&source) else { return Ok(()) };
    lesson.instruments_are_in(&path.display().to_string(), &read.text, &font.presets())?;
    Ok(())
}

//! `countoff check`: a teacher sees a lesson before hearing it.

mod hands;

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use super::args::Check;
use super::sources::Sources;
use super::{Failure, course, input, output, overrides, render, sounds};
use crate::part::Instrument;
use crate::plan::{Plan, PlanError};

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
    if failures.is_empty() { Ok(()) } else { Err(Failure::together(failures)) }
}

fn check(path: &Path, options: &Check) -> Result<(), Failure> {
    let mut at_hand = render::read_lesson(path, &Sources::default())?;
    instruments(path, &at_hand)?;
    let lesson = &mut at_hand.lesson;
    overrides::keys(lesson, options.key.as_deref())?;
    let only = options.only.as_deref().map(|name| overrides::track_named(lesson, name));
    let only = only.transpose()?;
    for track in &mut lesson.tracks {
        track.tempos.truncate(1);
    }
    let lesson = &at_hand.lesson;
    let plan = Plan::of(lesson, &at_hand.library, |track| {
        only.is_none_or(|only| only + 1 == track.number)
    })
    .map_err(|error: PlanError| Failure::input(error))?;
    let warnings = || lesson.warnings.iter().chain(&plan.warnings);
    if options.json {
        let tracks = plan.takes.iter().map(|take| CheckedTrack {
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
    for take in &plan.takes {
        let track = &lesson.tracks[take.track];
        let chart = &lesson.charts[track.chart];
        let line = |index: Option<usize>| index.and_then(|index| lesson.lines.get(index));
        let lines = [track.line, track.left_hand].map(|index| line(index).map(|line| &line.name));
        let styles = [&track.comp, &track.bass, &track.drums].map(Option::as_ref);
        let players = lines.into_iter().chain(styles).flatten().map(String::as_str);
        let players: Vec<&str> = players.collect();
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

/// Whether the SoundFont, if it is to be had here, has what the lines are played on; the piano is in
/// every one.
fn instruments(path: &Path, at_hand: &render::LessonAtHand) -> Result<(), Failure> {
    let lesson = &at_hand.lesson;
    if lesson.lines.iter().all(|line| line.instrument == Instrument::PIANO) {
        return Ok(());
    }
    let of_lesson = lesson.soundfont.as_ref().map(|font| at_hand.folder.join(font));
    let Ok(font) = sounds::open(&sounds::choose(None, of_lesson)) else { return Ok(()) };
    let text = input::text(path)?;
    lesson.instruments_are_in(&path.display().to_string(), &text, &font.presets())?;
    Ok(())
}

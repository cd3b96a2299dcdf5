//! `countoff check`: a teacher sees a lesson before hearing it.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use super::args::Check;
use super::keyboard::Keyboard;
use super::sources::Sources;
use super::{Failure, course, output, overrides, render};
use crate::arrange::{BarKind, TimelineSlot};
use crate::part::comp::Voicing;
use crate::plan::{Plan, PlanError, TakePlan};

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
            bars: first_chorus(take)
                .map(|slots| slots.into_iter().map(checked).collect())
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
        text.push_str(&voicings(take));
    }
    for warning in warnings() {
        let _ = writeln!(text, "\nnote: {warning}");
    }
    output::text(&text)
}

/// The slots of each bar of the first chorus, with their voicings.
fn first_chorus(
    take: &TakePlan,
) -> impl Iterator<Item = Vec<(&TimelineSlot, Option<&Voicing>)>> + '_ {
    let bars = take.notes.timeline.bars.iter().enumerate();
    bars.filter(|(_, bar)| bar.kind == BarKind::Chorus && bar.chorus == 0).map(|(index, bar)| {
        let voicing = |slot| take.notes.voicings.as_ref()?.get(index, slot).map(AsRef::as_ref);
        bar.slots.iter().enumerate().map(|(slot, place)| (place, voicing(slot))).collect()
    })
}

fn checked((slot, voicing): (&TimelineSlot, Option<&Voicing>)) -> CheckedChord {
    CheckedChord { chord: name(slot), notes: voicing.map(note_names).unwrap_or_default() }
}

fn name(slot: &TimelineSlot) -> String {
    slot.harmony.as_ref().map_or("N.C.".to_owned(), |harmony| harmony.symbol.to_string())
}

fn note_names(voicing: &Voicing) -> Vec<String> {
    voicing
        .notes
        .iter()
        .map(|note| note.spelled().map_or(note.name.to_string(), |pitch| pitch.to_string()))
        .collect()
}

/// Every chord with its voicing as note names, and the hand on a keyboard; a chord that comes
/// again with the same notes is shown once.
fn voicings(take: &TakePlan) -> String {
    let mut seen = BTreeSet::new();
    let mut rows: Vec<(String, String, &Voicing)> = Vec::new();
    for (slot, voicing) in first_chorus(take).flatten() {
        let Some(voicing) = voicing else { continue };
        let row = (name(slot), note_names(voicing).join(" "));
        if seen.insert(row.clone()) {
            rows.push((row.0, row.1, voicing));
        }
    }
    let Some(keyboard) = Keyboard::spanning(rows.iter().map(|(_, _, voicing)| *voicing)) else {
        return String::new();
    };
    let chord_width = rows.iter().map(|(chord, _, _)| chord.chars().count()).max().unwrap_or(0);
    let notes_width = rows.iter().map(|(_, notes, _)| notes.chars().count()).max().unwrap_or(0);
    let indent = " ".repeat(chord_width + notes_width + 6);
    let mut text = format!("{indent}{}\n", keyboard.scale());
    for (chord, notes, voicing) in rows {
        let _ = writeln!(
            text,
            "  {chord:chord_width$}  {notes:notes_width$}  {}",
            keyboard.hand(voicing)
        );
    }
    text
}

//! `countoff explain`: what each note of a line is to its chord.

use std::fmt::Write;

use serde::Serialize;

use super::args::Explain;
use super::failure::Failure;
use super::report::Report;
use super::sources::Sources;
use super::{input, output};
use crate::explain::{Explained, Sounding};
use crate::lesson::{Lesson, LineSpec};
use crate::melody::{Form, Material, Piece, Role};
use crate::plan::PlannedLine;
use crate::problem::nearest;
use crate::theory::Pitch;
use crate::units::Ticks;

/// A silence that ends a phrase: nine tenths of a beat (the measure of `tests/facts/line_rhythm.tsv`).
const PHRASE_ENDING_REST: i64 = 864;

#[derive(Serialize)]
struct ExplainedLine {
    line: String,
    chart: String,
    key: String,
    meter: String,
    pieces: Vec<ExplainedPiece>,
    notes: Vec<ExplainedNote>,
    fallbacks: Vec<String>,
}

/// What a composed line shows over a chord.
#[derive(Serialize)]
struct ExplainedPiece {
    bar: i64,
    /// From 1, as the notes have it.
    beat: f64,
    /// In quarters.
    length: f64,
    chord: String,
    technique: &'static str,
    material: String,
    root: String,
    scale: &'static str,
    triads: Vec<String>,
}

#[derive(Serialize)]
struct ExplainedNote {
    bar: i64,
    /// Counted from 1, in quarters; in six eighths in dotted quarters, in cut time in halves.
    beat: f64,
    /// In quarters.
    length: f64,
    note: String,
    midi: u8,
    chord: Option<String>,
    /// Which phrase it is in, counted from 1: a rest of nearly a beat or more ends one.
    phrase: u32,
    /// Notes of one group of a technique have the same number: that of its first note, from 0.
    group: Option<usize>,
    roles: Vec<ExplainedRole>,
}

#[derive(Serialize)]
struct ExplainedRole {
    kind: &'static str,
    /// Of the chord, of the scale, or of the chord tone that the note leads to.
    degree: Option<String>,
    text: String,
}

/// Explains one line of a lesson, or all.
pub(super) fn run(options: &Explain) -> Result<(), Failure> {
    let at_hand = input::lesson(&options.lesson, &Sources::default())?;
    let lesson = &at_hand.lesson;
    let chosen = chosen(lesson, options.line.as_deref())?;
    let lines = chosen.into_iter().map(|line| explained(lesson, line));
    let lines = lines.collect::<Result<Vec<_>, Failure>>()?;
    if options.json { output::json(&lines) } else { output::text(&shown(&lines, options.all)) }
}

/// The lines of that name (an exercise book's own name stands for all of its lines).
fn chosen<'a>(lesson: &'a Lesson, name: Option<&str>) -> Result<Vec<&'a LineSpec>, Failure> {
    let lines = || lesson.lines().map(|(_, line)| line);
    if lines().next().is_none() {
        return Err(Failure::input("the lesson has no line"));
    }
    let Some(name) = name else { return Ok(lines().collect()) };
    let found: Vec<&LineSpec> =
        lines().filter(|line| line.name == name || line.entry == name).collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let names = || lines().map(|line| line.name.as_str());
    let help = match nearest(name, names()) {
        Some(right) => format!("did you mean `{right}`?"),
        None => format!("the lines are: {}", names().collect::<Vec<_>>().join(", ")),
    };
    Err(Failure::input(Report::new(format!("there is no line named `{name}`")).help(help)))
}

fn explained(lesson: &Lesson, line: &LineSpec) -> Result<ExplainedLine, Failure> {
    let planned = PlannedLine::of(lesson, line).map_err(|error| Failure::of_plan(&error))?;
    let (chart, form) = (lesson.chart(line.chart), &planned.form);
    let pieces = planned.composed.as_ref().map_or(&[][..], |composed| &composed.pieces);
    let fallbacks = planned.composed.iter().flat_map(|composed| &composed.fallbacks);
    Ok(ExplainedLine {
        line: line.name.clone(),
        chart: chart.name.clone(),
        key: chart.key.to_string(),
        meter: chart.meter.to_string(),
        pieces: pieces.iter().filter_map(|piece| explained_piece(form, piece)).collect(),
        notes: explained_notes(form, &planned.explained()),
        fallbacks: fallbacks.map(ToString::to_string).collect(),
    })
}

fn explained_piece(form: &Form, piece: &Piece) -> Option<ExplainedPiece> {
    let (root, scale) = piece.assignment.material.scale()?;
    let triads = match &piece.assignment.material {
        Material::Triads { pair, .. } => pair.iter().map(ToString::to_string).collect(),
        _ => Vec::new(),
    };
    Some(ExplainedPiece {
        bar: form.bar_number(piece.span.at),
        beat: beat(form, piece.span.at),
        length: piece.span.length.quarters(),
        chord: piece.span.harmony.as_ref()?.symbol.to_string(),
        technique: piece.assignment.technique.name(),
        material: piece.assignment.material.to_string(),
        root: root.to_string(),
        scale: scale.name,
        triads,
    })
}

fn explained_notes(form: &Form, notes: &[Explained]) -> Vec<ExplainedNote> {
    let mut phrase = 1;
    let mut end = None;
    notes
        .iter()
        .map(|note| {
            let Sounding { at, length, .. } = note.note;
            phrase += u32::from(end.is_some_and(|end| at - end >= Ticks(PHRASE_ENDING_REST)));
            end = Some(at + length);
            explained_note(form, note, phrase)
        })
        .collect()
}

fn explained_note(form: &Form, note: &Explained, phrase: u32) -> ExplainedNote {
    let at = note.note.at;
    let pitch = Pitch::named(note.note.pitch, note.name);
    let roles = note.roles.iter();
    ExplainedNote {
        bar: form.bar_number(at),
        beat: beat(form, at),
        length: note.note.length.quarters(),
        note: pitch.map_or_else(|| note.name.to_string(), |pitch| pitch.to_string()),
        midi: note.note.pitch,
        chord: note.harmony.as_ref().map(|harmony| harmony.symbol.to_string()),
        phrase,
        group: note.group,
        roles: roles.map(|&role| explained_role(role)).collect(),
    }
}

/// Where in its bar a time is, in the meter's beats from 1.
fn beat(form: &Form, at: Ticks) -> f64 {
    let in_bar = Ticks(at.0.rem_euclid(form.meter.bar().0));
    in_bar.quarters() / form.meter.beat().quarters() + 1.0
}

fn explained_role(role: Role) -> ExplainedRole {
    let degree = role.degree().map(|degree| degree.to_string());
    ExplainedRole { kind: role.name(), degree, text: role.to_string() }
}

/// Lines to read: phrase by phrase, one role a note, and the others where all are asked for.
fn shown(lines: &[ExplainedLine], all: bool) -> String {
    let mut text = String::new();
    for line in lines {
        let ExplainedLine { line: name, chart, key, meter, .. } = line;
        let _ = writeln!(text, "{name}, over {chart} in {key}, {meter}");
        for fallback in &line.fallbacks {
            let _ = writeln!(text, "  {fallback}");
        }
        let phrases = line.notes.chunk_by(|note, next| note.phrase == next.phrase);
        for phrase in phrases {
            let _ = writeln!(text, "\n  {}", sentence(line, phrase));
            show_notes(&mut text, phrase, all);
        }
        text.push('\n');
    }
    text
}

/// Which phrase it is, what it shows and how it ends.
fn sentence(line: &ExplainedLine, phrase: &[ExplainedNote]) -> String {
    let (Some(first), Some(last)) = (phrase.first(), phrase.last()) else { return String::new() };
    let bars = if first.bar == last.bar {
        format!("bar {}", first.bar)
    } else {
        format!("bars {} to {}", first.bar, last.bar)
    };
    let within = |piece: &&ExplainedPiece| {
        let from = (piece.bar, piece.beat);
        let notes = phrase.iter().map(|note| (note.bar, note.beat));
        let begins = notes.clone().any(|at| at >= from);
        begins && piece.bar <= last.bar && piece.bar >= first.bar
    };
    let mut shown: Vec<String> = Vec::new();
    for piece in line.pieces.iter().filter(within) {
        let what = format!("{} over {} ({})", piece.technique, piece.chord, piece.material);
        if !shown.contains(&what) {
            shown.push(what);
        }
    }
    let ends = last.roles.first().map_or_else(String::new, |role| {
        let chord = last.chord.as_deref().unwrap_or("N.C.");
        format!("It ends on {}: the {} of {chord}.", last.note, role.text)
    });
    match &shown[..] {
        [] => format!("Phrase {}, {bars}. {ends}", first.phrase),
        _ => format!("Phrase {}, {bars}: {}. {ends}", first.phrase, shown.join("; ")),
    }
}

fn show_notes(text: &mut String, notes: &[ExplainedNote], all: bool) {
    let mut bar = None;
    for note in notes {
        if bar != Some(note.bar) {
            bar = Some(note.bar);
            let _ = writeln!(text, "   bar {}", note.bar);
        }
        let chord = note.chord.as_deref().unwrap_or("N.C.");
        let roles: Vec<&str> = note.roles.iter().map(|role| role.text.as_str()).collect();
        let (first, others) = roles.split_first().unwrap_or((&"-", &[]));
        let beat = (note.beat * 100.0).round() / 100.0;
        let _ = write!(text, "    {beat:<5} {:4} {chord:9} {first}", note.note);
        if all && !others.is_empty() {
            let _ = write!(text, "  (or {})", others.join("; "));
        }
        text.push('\n');
    }
}

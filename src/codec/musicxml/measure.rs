//! One measure: what is in it, and when.

use roxmltree::Node;

use super::elements::{child, child_number, child_semitones, child_text, children};
use super::harmony::{read_harmony, read_step};
use super::marks::{self, Arriving, Mark};
use super::{
    KeySignature, Measure, MelodyNote, TimeSignature, Transpose, UnreadHarmony, WrittenPitch,
};
use crate::codec::loudness;
use crate::problem::visible;
use crate::units::{Ticks, Velocity};

/// The longest that a measure may be, in quarter notes; a bound for damaged files.
const LONGEST: f64 = 1_000.0;
/// [`Ticks::QUARTER`] as a fraction's factor.
const TICKS_PER_QUARTER: f64 = 960.0;

/// Reading position: `divisions` are the file's own units in a quarter note, and hold until they
/// are changed.
pub(super) struct Cursor {
    divisions: f64,
    /// In quarter notes from the start of the measure.
    at: f64,
    /// Where the note before began, for notes struck with it.
    chord_start: f64,
    /// The furthest that anything reaches.
    end: f64,
    /// The last dynamic mark.
    loudness: Option<Velocity>,
    /// What the measure before ends with, and the next begins with.
    coming: Arriving,
}

impl Default for Cursor {
    fn default() -> Cursor {
        let coming = Arriving::default();
        Cursor { divisions: 1.0, at: 0.0, chord_start: 0.0, end: 0.0, loudness: None, coming }
    }
}

impl Cursor {
    fn ticks(quarters: f64) -> Ticks {
        #[expect(clippy::cast_possible_truncation, reason = "below LONGEST quarters")]
        let ticks = (quarters * TICKS_PER_QUARTER).round() as i64;
        Ticks(ticks)
    }

    /// A length given in divisions, in quarter notes.
    fn quarters(&self, node: Node<'_, '_>, name: &str) -> Result<Option<f64>, String> {
        let Some(divisions) = child_number::<f64>(node, name) else { return Ok(None) };
        let quarters = divisions / self.divisions;
        if quarters.is_finite() && quarters.abs() <= LONGEST {
            Ok(Some(quarters))
        } else {
            Err(format!("a {name} of {divisions} is no length in music"))
        }
    }

    /// When a direction or sound takes place; the offset of a sound in a direction goes before the
    /// direction's.
    fn mark_time(&self, node: Node<'_, '_>) -> Result<f64, String> {
        let own = child(node, "sound").map(|sound| self.quarters(sound, "offset")).transpose()?;
        let offset = match own.flatten() {
            Some(offset) => Some(offset),
            None => self.quarters(node, "offset")?,
        };
        Ok((self.at + offset.unwrap_or(0.0)).max(0.0))
    }

    fn advance(&mut self, quarters: f64) {
        self.at = (self.at + quarters).clamp(0.0, LONGEST);
        self.end = self.end.max(self.at);
    }
}

/// Reads one measure; with it goes whether it begins with a coda sign that says no more.
pub(super) fn read_measure(
    node: Node<'_, '_>,
    number: String,
    cursor: &mut Cursor,
    warnings: &mut Vec<String>,
) -> Result<(Measure, bool), String> {
    let (divisions, loudness) = (cursor.divisions, cursor.loudness);
    let mut coming = std::mem::take(&mut cursor.coming);
    *cursor = Cursor { divisions, loudness, ..Cursor::default() };
    let mut found: Vec<(f64, Mark)> = Vec::new();
    let counted = node.attribute("implicit") != Some("yes");
    let mut measure = Measure { number, counted, ..Measure::default() };
    for element in node.children().filter(Node::is_element) {
        match element.tag_name().name() {
            "attributes" => read_attributes(element, cursor, &mut measure)?,
            "note" => read_note(element, cursor, &mut measure)?,
            "backup" => {
                let back = cursor.quarters(element, "duration")?.unwrap_or(0.0);
                cursor.advance(-back);
            }
            "forward" => {
                let forward = cursor.quarters(element, "duration")?.unwrap_or(0.0);
                cursor.advance(forward);
            }
            "harmony" => {
                let offset = cursor.quarters(element, "offset")?.unwrap_or(0.0);
                let at = Cursor::ticks((cursor.at + offset).max(0.0));
                match read_harmony(element, at) {
                    Ok(harmony) => measure.harmonies.push(harmony),
                    Err(problem) => measure.unread.push(UnreadHarmony { at, problem }),
                }
            }
            "barline" => {
                read_barline(element, &mut measure);
                let is_left = element.attribute("location") == Some("left");
                let at = if is_left { 0.0 } else { f64::INFINITY };
                found.extend(marks::of_sound(element).into_iter().map(|mark| (at, mark)));
            }
            "direction" => {
                read_direction(element, cursor, &mut measure);
                let at = cursor.mark_time(element)?;
                found.extend(marks::of_direction(element).into_iter().map(|mark| (at, mark)));
            }
            "sound" => {
                let at = cursor.mark_time(element)?;
                found.extend(marks::of_sound(element).into_iter().map(|mark| (at, mark)));
            }
            _ => {}
        }
    }
    measure.length = Cursor::ticks(cursor.end);
    measure.harmonies.sort_by_key(|harmony| harmony.at);
    let is_coda_sign = marks::place(&mut measure, found, cursor.end, &mut coming, warnings);
    cursor.coming = coming;
    Ok((measure, is_coda_sign))
}

fn read_attributes(
    node: Node<'_, '_>,
    cursor: &mut Cursor,
    measure: &mut Measure,
) -> Result<(), String> {
    if let Some(divisions) = child_number::<f64>(node, "divisions") {
        if !(divisions.is_finite() && divisions > 0.0) {
            return Err("divisions must be more than zero".to_owned());
        }
        cursor.divisions = divisions;
    }
    if let Some(key) = child(node, "key")
        && let Some(fifths @ -7..=7) = child_number(key, "fifths")
    {
        let minor = matches!(child_text(key, "mode"), Some("minor" | "aeolian"));
        measure.key = Some(KeySignature { fifths, minor });
    }
    if let Some(transpose) = child(node, "transpose") {
        measure.transpose = Some(Transpose {
            steps: child_number(transpose, "diatonic").filter(|steps| (-14..=14).contains(steps)),
            semitones: child_semitones(transpose, "chromatic"),
            octaves: child_number(transpose, "octave-change").unwrap_or(0_i8).clamp(-4, 4),
        });
    }
    if let Some(time) = child(node, "time")
        && let Some(beats) = child_text(time, "beats")
        && let Some(beat_type @ 1..=64) = child_number(time, "beat-type")
    {
        let beats: Option<u16> =
            beats.split('+').map(|part| part.trim().parse::<u8>().ok().map(u16::from)).sum();
        let beats = beats.and_then(|beats| u8::try_from(beats).ok()).filter(|&beats| beats > 0);
        let beats = beats.ok_or("the time signature is not understood")?;
        measure.time = Some(TimeSignature { beats, beat_type });
    }
    Ok(())
}

fn read_note(node: Node<'_, '_>, cursor: &mut Cursor, measure: &mut Measure) -> Result<(), String> {
    let length = cursor.quarters(node, "duration")?.unwrap_or(0.0).max(0.0);
    let at = if child(node, "chord").is_some() { cursor.chord_start } else { cursor.at };
    let pitch = match child(node, "pitch") {
        Some(pitch) => Some(WrittenPitch {
            step: read_step(pitch, "step", "alter")?,
            octave: child_number(pitch, "octave")
                .filter(|octave| (0..=9).contains(octave))
                .ok_or("a note's octave is not 0 to 9")?,
        }),
        None => None,
    };
    let tie = |kind| children(node, "tie").any(|tie| tie.attribute("type") == Some(kind));
    let sounds = pitch.is_some() || child(node, "rest").is_some();
    if sounds && child(node, "cue").is_none() {
        measure.notes.push(MelodyNote {
            at: Cursor::ticks(at),
            length: Cursor::ticks(at + length) - Cursor::ticks(at),
            pitch,
            voice: child_number(node, "voice").unwrap_or(1),
            tie_start: tie("start"),
            tie_stop: tie("stop"),
            loudness: cursor.loudness,
            accent: articulated(node, &["accent", "strong-accent"]),
            staccato: articulated(node, &["staccato", "staccatissimo"]),
        });
    }
    if child(node, "chord").is_none() {
        cursor.chord_start = at;
        cursor.advance(length);
    }
    Ok(())
}

/// Whether a note carries one of these articulations.
fn articulated(note: Node<'_, '_>, names: &[&str]) -> bool {
    let signs = children(note, "notations").flat_map(|signs| children(signs, "articulations"));
    let mut signs = signs.flat_map(|signs| signs.children());
    signs.any(|sign| names.contains(&sign.tag_name().name()))
}

fn read_barline(node: Node<'_, '_>, measure: &mut Measure) {
    if let Some(repeat) = child(node, "repeat") {
        match repeat.attribute("direction") {
            Some("forward") => measure.repeat_start = true,
            Some("backward") => {
                let times = repeat.attribute("times").and_then(|times| times.parse().ok());
                measure.repeat_end = Some(times.unwrap_or(2));
                measure.repeat_after_jump = repeat.attribute("after-jump") == Some("yes");
            }
            _ => {}
        }
    }
    if let Some(ending) = child(node, "ending") {
        match ending.attribute("type") {
            Some("start") => {
                let numbers = ending.attribute("number").unwrap_or_default();
                let numbers =
                    numbers.split([',', ' ']).filter_map(|number| number.parse::<u8>().ok());
                measure.endings.extend(numbers);
            }
            Some("stop" | "discontinue") => measure.ending_stop = true,
            _ => {}
        }
    }
}

fn read_direction(node: Node<'_, '_>, cursor: &mut Cursor, measure: &mut Measure) {
    let dynamics = children(node, "direction-type").filter_map(|kind| child(kind, "dynamics"));
    let marks = dynamics.flat_map(|dynamics| dynamics.children());
    if let Some(found) = marks.filter_map(|mark| loudness::velocity(mark.tag_name().name())).last()
    {
        cursor.loudness = Some(found);
    }
    let marks = children(node, "direction-type").filter_map(|kind| child_text(kind, "rehearsal"));
    if let Some(mark) = marks.last() {
        measure.rehearsal = Some(visible(mark).into_owned());
    }
}

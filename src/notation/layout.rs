//! Which notes stand in which staff.

use super::bars::{Slashes, StaffNotes};
use super::grid::{WrittenNote, written};
use super::reader::Reader;
use super::spelling::spell;
use crate::arrange::Timeline;
use crate::codec::musicxml::score::{Clef, Transpose};
use crate::part::{Hand, PartNotes};
use crate::performance::Part;
use crate::problem::InternalError;
use crate::theory::Key;
use crate::units::{MidiPitch, Ticks};

/// The parts of a page, from the top down.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) parts: Vec<PartLayout>,
}

/// One part with its staves.
#[derive(Debug, Clone)]
pub(super) struct PartLayout {
    pub(super) name: &'static str,
    pub(super) program: u8,
    pub(super) transpose: Option<Transpose>,
    pub(super) staves: Vec<(Clef, StaffNotes)>,
}

const PIANO: &str = "Piano";
const LINE: &str = "Line";

/// The keyboard's parts.
pub(super) fn of_hands(timeline: &Timeline, parts: &[PartNotes]) -> Result<Layout, InternalError> {
    let of_part = |wanted: Part| {
        let mut playing = parts.iter().filter(|part| !part.notes.is_empty());
        let part = playing.find(|part| part.part == wanted);
        let part = part.map(|part| {
            let spelled = spell(timeline, &inside(timeline, part))?;
            Ok((part.instrument.program, written(&spelled, timeline.meter)))
        });
        part.transpose()
    };
    let plays = |notes: &[WrittenNote], hand: Hand| notes.iter().any(|note| note.hand == hand);
    let part = |name, program, staves| PartLayout { name, program, transpose: None, staves };
    let of_hand = |notes: &[WrittenNote], hand: Hand| -> Vec<WrittenNote> {
        notes.iter().copied().filter(|note| note.hand == hand).collect()
    };
    let both_staves = |notes: &[WrittenNote]| {
        let staves = [Hand::Right, Hand::Left].into_iter().filter(|hand| plays(notes, *hand));
        staves.map(|hand| staff(hand, of_hand(notes, hand), Slashes::Never)).collect::<Vec<_>>()
    };
    let line_staves = |notes: &[WrittenNote]| {
        let staves = [Hand::Right, Hand::Left].into_iter().filter(|hand| plays(notes, *hand));
        staves.map(|hand| staff(hand, of_hand(notes, hand), Slashes::Answers)).collect::<Vec<_>>()
    };
    let parts = match (of_part(Part::Line)?, of_part(Part::Comp)?) {
        (None, None) => Vec::new(),
        (None, Some((program, comp))) => vec![part(PIANO, program, both_staves(&comp))],
        (Some((program, line)), None) => vec![part(LINE, program, line_staves(&line))],
        (Some((program, line)), Some((comp_program, comp))) => {
            let meet = |hand| plays(&line, hand) && plays(&comp, hand);
            if meet(Hand::Left) || meet(Hand::Right) {
                let comp = part(PIANO, comp_program, both_staves(&comp));
                vec![part(LINE, program, line_staves(&line)), comp]
            } else {
                let mut staves = line_staves(&line);
                staves.extend(both_staves(&comp));
                staves.sort_by_key(|(clef, _)| *clef == Clef::Bass);
                vec![part(PIANO, comp_program, staves)]
            }
        }
    };
    Ok(Layout { parts })
}

/// A chord that is struck before the start stands where it is heard: at the start, or where a loop
/// ends.
fn inside(timeline: &Timeline, part: &PartNotes) -> PartNotes {
    let mut part = part.clone();
    for note in part.notes.iter_mut().filter(|note| note.at < Ticks::ZERO) {
        let end = note.at + note.length;
        let at = if timeline.loops { note.at + timeline.end } else { Ticks::ZERO };
        note.length = if timeline.loops { note.length } else { end };
        note.at = at;
    }
    part.notes.retain(|note| note.length > Ticks::ZERO && note.at < timeline.end);
    part.notes.sort_by_key(|note| (note.at, note.pitch));
    part
}

fn staff(hand: Hand, notes: Vec<WrittenNote>, slashes: Slashes) -> (Clef, StaffNotes) {
    let clef = if hand == Hand::Left { Clef::Bass } else { Clef::Treble };
    (clef, StaffNotes { notes, slashes })
}

/// A line over chord symbols, or slashes where there is no line. `timeline` is in the key that is
/// read; `line` has the notes that sound in the key `sounding`.
pub(super) fn of_lead_sheet(
    timeline: &Timeline,
    line: Option<PartNotes>,
    sounding: Key,
    reader: Reader,
) -> Result<Layout, InternalError> {
    let notes = line.map(|mut line| {
        let shift = reader.shift(line.notes.iter().map(|note| note.pitch));
        line.notes.retain_mut(|note| {
            let Ok(moved) = MidiPitch::try_from(i16::from(note.pitch) + shift) else {
                return false;
            };
            note.pitch = moved.get();
            // Both hands share the one staff.
            note.hand = Some(Hand::Right);
            true
        });
        Ok(written(&spell(timeline, &line)?, timeline.meter))
    });
    let notes = notes.transpose()?;
    let slashes = if notes.is_some() { Slashes::Answers } else { Slashes::Always };
    let notes = StaffNotes { notes: notes.unwrap_or_default(), slashes };
    let part = PartLayout {
        name: if slashes == Slashes::Always { "Chords" } else { LINE },
        program: 0,
        transpose: reader.transpose(sounding),
        staves: vec![(reader.clef(), notes)],
    };
    Ok(Layout { parts: vec![part] })
}

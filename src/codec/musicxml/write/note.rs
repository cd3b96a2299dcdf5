//! A note or rest.

use std::io::Result;

use super::xml::Xml;
use crate::codec::musicxml::WrittenPitch;
use crate::codec::musicxml::score::{
    Accidental, Beam, Head, NoteValue, ScoreNote, Stem, TripletPlace,
};

pub(super) fn note(xml: &mut Xml, note: &ScoreNote) -> Result<()> {
    xml.open("note", if note.printed { &[] } else { &[("print-object", "no")] })?;
    if note.in_chord {
        xml.empty("chord", &[])?;
    }
    head(xml, note.head)?;
    xml.number("duration", note.duration.0)?;
    for (is_there, kind) in [(note.tie_stop, "stop"), (note.tie_start, "start")] {
        if is_there {
            xml.empty("tie", &[("type", kind)])?;
        }
    }
    xml.number("voice", note.voice)?;
    if let Some(value) = note.value {
        xml.text("type", value_name(value))?;
    }
    for _ in 0..note.dots {
        xml.empty("dot", &[])?;
    }
    if let Some(accidental) = note.accidental {
        xml.text("accidental", accidental_name(accidental))?;
    }
    if note.triplet.is_some() {
        xml.open("time-modification", &[])?;
        xml.number("actual-notes", 3)?;
        xml.number("normal-notes", 2)?;
        xml.close("time-modification")?;
    }
    if let Some(stem) = note.stem {
        let direction = match stem {
            Stem::Up => "up",
            Stem::Down => "down",
            Stem::None => "none",
        };
        xml.text("stem", direction)?;
    }
    match note.head {
        Head::Ghost(_) => xml.text("notehead", "x")?,
        Head::Slash => xml.text("notehead", "slash")?,
        Head::Pitch(_) | Head::Rest | Head::MeasureRest => {}
    }
    if let Some(staff) = note.staff {
        xml.number("staff", staff)?;
    }
    for (number, beam) in (1_u8..).zip(&note.beams) {
        xml.text_with("beam", &[("number", &number.to_string())], beam_name(*beam))?;
    }
    notations(xml, note)?;
    xml.close("note")
}

fn head(xml: &mut Xml, head: Head) -> Result<()> {
    match head {
        Head::Pitch(pitch) | Head::Ghost(pitch) => written_pitch(xml, pitch),
        Head::Rest => xml.empty("rest", &[]),
        Head::MeasureRest => xml.empty("rest", &[("measure", "yes")]),
        // On the middle line of the treble staff.
        Head::Slash => {
            xml.open("unpitched", &[])?;
            xml.text("display-step", "B")?;
            xml.number("display-octave", 4)?;
            xml.close("unpitched")
        }
    }
}

fn written_pitch(xml: &mut Xml, pitch: WrittenPitch) -> Result<()> {
    xml.open("pitch", &[])?;
    xml.text("step", pitch.step.letter.char().encode_utf8(&mut [0; 4]))?;
    if pitch.step.alter != 0 {
        xml.number("alter", pitch.step.alter)?;
    }
    xml.number("octave", pitch.octave)?;
    xml.close("pitch")
}

fn notations(xml: &mut Xml, note: &ScoreNote) -> Result<()> {
    let edge = |place: &TripletPlace| place.starts || place.stops;
    let triplet = note.triplet.filter(|place| edge(place) && !note.in_chord);
    if !(note.tie_start || note.tie_stop || note.staccato || triplet.is_some()) {
        return Ok(());
    }
    xml.open("notations", &[])?;
    for (is_there, kind) in [(note.tie_stop, "stop"), (note.tie_start, "start")] {
        if is_there {
            xml.empty("tied", &[("type", kind)])?;
        }
    }
    if let Some(place) = triplet {
        let bracket = if place.bracket { "yes" } else { "no" };
        if place.starts {
            xml.empty("tuplet", &[("type", "start"), ("bracket", bracket)])?;
        }
        if place.stops {
            xml.empty("tuplet", &[("type", "stop")])?;
        }
    }
    if note.staccato {
        xml.open("articulations", &[])?;
        xml.empty("staccato", &[])?;
        xml.close("articulations")?;
    }
    xml.close("notations")
}

/// A value as MusicXML's `type` and `beat-unit` have it.
pub(super) const fn value_name(value: NoteValue) -> &'static str {
    match value {
        NoteValue::ThirtySecond => "32nd",
        NoteValue::Sixteenth => "16th",
        NoteValue::Eighth => "eighth",
        NoteValue::Quarter => "quarter",
        NoteValue::Half => "half",
        NoteValue::Whole => "whole",
    }
}

const fn accidental_name(accidental: Accidental) -> &'static str {
    match accidental {
        Accidental::DoubleFlat => "flat-flat",
        Accidental::Flat => "flat",
        Accidental::Natural => "natural",
        Accidental::Sharp => "sharp",
        Accidental::DoubleSharp => "double-sharp",
    }
}

const fn beam_name(beam: Beam) -> &'static str {
    match beam {
        Beam::Begin => "begin",
        Beam::Continue => "continue",
        Beam::End => "end",
        Beam::ForwardHook => "forward hook",
        Beam::BackwardHook => "backward hook",
    }
}

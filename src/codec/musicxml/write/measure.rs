//! One measure: what is in it, at its time.

use std::io::Result;

use super::harmony::harmony;
use super::note::{note, value_name};
use super::xml::Xml;
use crate::codec::musicxml::score::{
    Attributes, Barline, Clef, Direction, EndingKind, Item, Mark, Repeat, ScoreMeasure, SoundMark,
};
use crate::units::Ticks;

/// Writes measures and knows where in one it is.
pub(super) struct MeasureWriter<'a> {
    xml: &'a mut Xml,
    /// From the start of the measure.
    at: Ticks,
}

impl<'a> MeasureWriter<'a> {
    pub(super) fn new(xml: &'a mut Xml) -> MeasureWriter<'a> {
        MeasureWriter { xml, at: Ticks::ZERO }
    }

    pub(super) fn measure(&mut self, measure: &ScoreMeasure) -> Result<()> {
        self.at = Ticks::ZERO;
        let number = ("number", measure.number.as_str());
        if measure.implicit {
            self.xml.open("measure", &[number, ("implicit", "yes")])?;
        } else {
            self.xml.open("measure", &[number])?;
        }
        if measure.new_system {
            self.xml.empty("print", &[("new-system", "yes")])?;
        }
        for item in &measure.items {
            self.item(item)?;
        }
        self.xml.close("measure")
    }

    fn item(&mut self, item: &Item) -> Result<()> {
        match item {
            Item::Attributes(written) => attributes(self.xml, written),
            Item::Barline(written) => barline(self.xml, written),
            Item::Harmony(written) => harmony(self.xml, written, written.at - self.at),
            Item::Direction(written) => direction(self.xml, written),
            Item::Note(written) => {
                if !written.in_chord {
                    self.at += written.duration;
                }
                note(self.xml, written)
            }
            Item::Backup(by) => {
                self.at += -*by;
                self.xml.open("backup", &[])?;
                self.xml.number("duration", by.0)?;
                self.xml.close("backup")
            }
        }
    }
}

fn attributes(xml: &mut Xml, attributes: &Attributes) -> Result<()> {
    xml.open("attributes", &[])?;
    if attributes.divisions {
        xml.number("divisions", Ticks::QUARTER.0)?;
    }
    if let Some(key) = attributes.key {
        xml.open("key", &[])?;
        xml.number("fifths", key.fifths)?;
        xml.text("mode", if key.minor { "minor" } else { "major" })?;
        xml.close("key")?;
    }
    if let Some(time) = attributes.time {
        let is_cut = (time.beats, time.beat_type) == (2, 2);
        xml.open("time", if is_cut { &[("symbol", "cut")] } else { &[] })?;
        xml.number("beats", time.beats)?;
        xml.number("beat-type", time.beat_type)?;
        xml.close("time")?;
    }
    if let Some(staves) = attributes.staves {
        xml.number("staves", staves)?;
    }
    for (staff, clef) in (1_u8..).zip(&attributes.clefs) {
        let (sign, line) = match clef {
            Clef::Treble => ("G", 2_u8),
            Clef::Bass => ("F", 4),
        };
        let number = staff.to_string();
        let numbered = [("number", number.as_str())];
        xml.open("clef", if attributes.clefs.len() > 1 { &numbered } else { &[] })?;
        xml.text("sign", sign)?;
        xml.number("line", line)?;
        xml.close("clef")?;
    }
    if let Some(transpose) = attributes.transpose {
        xml.open("transpose", &[])?;
        xml.number("diatonic", transpose.diatonic)?;
        xml.number("chromatic", transpose.chromatic)?;
        xml.close("transpose")?;
    }
    xml.close("attributes")
}

fn barline(xml: &mut Xml, barline: &Barline) -> Result<()> {
    xml.open("barline", &[("location", if barline.right { "right" } else { "left" })])?;
    let style = match (barline.repeat, barline.is_final, barline.is_double) {
        (Some(Repeat::Forward), ..) => Some("heavy-light"),
        (Some(Repeat::Backward(_)), ..) | (None, true, _) => Some("light-heavy"),
        (None, false, true) => Some("light-light"),
        _ => None,
    };
    if let Some(style) = style {
        xml.text("bar-style", style)?;
    }
    if let Some(ending) = &barline.ending {
        let passes: Vec<String> = ending.passes.iter().map(ToString::to_string).collect();
        let kind = match ending.kind {
            EndingKind::Start => "start",
            EndingKind::Stop => "stop",
            EndingKind::Discontinue => "discontinue",
        };
        xml.empty("ending", &[("number", &passes.join(",")), ("type", kind)])?;
    }
    match barline.repeat {
        Some(Repeat::Forward) => xml.empty("repeat", &[("direction", "forward")])?,
        Some(Repeat::Backward(times)) if times > 2 => {
            let times = times.to_string();
            xml.empty("repeat", &[("direction", "backward"), ("times", &times)])?;
        }
        Some(Repeat::Backward(_)) => xml.empty("repeat", &[("direction", "backward")])?,
        None => {}
    }
    xml.close("barline")
}

fn direction(xml: &mut Xml, direction: &Direction) -> Result<()> {
    xml.open("direction", &[("placement", "above")])?;
    for mark in &direction.marks {
        xml.open("direction-type", &[])?;
        match mark {
            Mark::Rehearsal(text) => xml.text("rehearsal", text)?,
            Mark::Words(text) => xml.text("words", text)?,
            Mark::Metronome { beat, dotted, per_minute } => {
                xml.open("metronome", &[])?;
                xml.text("beat-unit", value_name(*beat))?;
                if *dotted {
                    xml.empty("beat-unit-dot", &[])?;
                }
                xml.text("per-minute", per_minute)?;
                xml.close("metronome")?;
            }
        }
        xml.close("direction-type")?;
    }
    if let Some(sound) = &direction.sound {
        sound_mark(xml, sound)?;
    }
    xml.close("direction")
}

/// The tempo alone. `swing` came with MusicXML 4.0, and readers of 3 refuse a file that has it; the
/// words above the notes say how eighths are played.
fn sound_mark(xml: &mut Xml, sound: &SoundMark) -> Result<()> {
    let tempo = sound.tempo.map(|tempo| tempo.to_string());
    let attributes: Vec<(&str, &str)> =
        tempo.iter().map(|tempo| ("tempo", tempo.as_str())).collect();
    xml.empty("sound", &attributes)
}

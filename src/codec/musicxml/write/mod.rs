//! A score to MusicXML 4.0, partwise.
//!
//! The elements of each element come in the order that the W3C's schema asks for.

mod harmony;
mod measure;
mod note;
mod xml;

use std::io::Result;

use super::score::{Score, ScorePart};
use measure::MeasureWriter;
use xml::Xml;

const DOCTYPE: &str = "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
                       \"http://www.musicxml.org/dtds/partwise.dtd\"";

/// Writes a score as MusicXML 4.0, uncompressed. The same score gives the same bytes: no date is
/// written.
///
/// # Errors
/// None that are known: it writes into memory. The XML library's interface allows for them.
pub fn write(score: &Score) -> Result<Vec<u8>> {
    let mut xml = Xml::begin(DOCTYPE)?;
    xml.open("score-partwise", &[("version", "4.0")])?;
    head(&mut xml, score)?;
    for (part, id) in score.parts.iter().zip(ids()) {
        xml.open("part", &[("id", &id)])?;
        let mut writer = MeasureWriter::new(&mut xml);
        for measure in &part.measures {
            writer.measure(measure)?;
        }
        xml.close("part")?;
    }
    xml.close("score-partwise")?;
    Ok(xml.finish())
}

/// `P1`, `P2`, ...
fn ids() -> impl Iterator<Item = String> {
    (1_u32..).map(|number| format!("P{number}"))
}

fn head(xml: &mut Xml, score: &Score) -> Result<()> {
    xml.open("work", &[])?;
    xml.text("work-title", &score.title)?;
    xml.close("work")?;
    xml.open("identification", &[])?;
    if let Some(arranger) = &score.arranger {
        xml.text_with("creator", &[("type", "arranger")], arranger)?;
    }
    if let Some(rights) = &score.rights {
        xml.text("rights", rights)?;
    }
    xml.open("encoding", &[])?;
    xml.text("software", &score.software)?;
    for element in ["accidental", "beam", "stem"] {
        let is_whole = if element == "stem" { "no" } else { "yes" };
        xml.empty("supports", &[("element", element), ("type", is_whole)])?;
    }
    let breaks = [("element", "print"), ("attribute", "new-system"), ("type", "yes")];
    xml.empty("supports", &[&breaks[..], &[("value", "yes")]].concat())?;
    xml.close("encoding")?;
    xml.close("identification")?;
    xml.open("part-list", &[])?;
    for (part, id) in score.parts.iter().zip(ids()) {
        score_part(xml, part, &id)?;
    }
    xml.close("part-list")
}

fn score_part(xml: &mut Xml, part: &ScorePart, id: &str) -> Result<()> {
    let instrument = format!("{id}-I1");
    xml.open("score-part", &[("id", id)])?;
    xml.text("part-name", &part.name)?;
    xml.open("score-instrument", &[("id", &instrument)])?;
    xml.text("instrument-name", &part.name)?;
    xml.close("score-instrument")?;
    xml.open("midi-instrument", &[("id", &instrument)])?;
    // MusicXML counts programs from 1.
    xml.number("midi-program", i64::from(part.program) + 1)?;
    xml.close("midi-instrument")?;
    xml.close("score-part")
}

//! A chord symbol.

use std::io::Result;

use super::xml::Xml;
use crate::codec::musicxml::{DegreeKind, HarmonyElement};
use crate::theory::NoteName;
use crate::units::Ticks;

/// Writes a chord that stands `offset` after what was written last.
pub(super) fn harmony(xml: &mut Xml, harmony: &HarmonyElement, offset: Ticks) -> Result<()> {
    xml.open("harmony", &[("print-frame", "no")])?;
    step(xml, harmony.root, ["root", "root-step", "root-alter"], harmony.kind == "none")?;
    match &harmony.text {
        Some(text) => xml.text_with("kind", &[("text", text)], &harmony.kind)?,
        None => xml.text("kind", &harmony.kind)?,
    }
    if let Some(bass) = harmony.bass {
        step(xml, bass, ["bass", "bass-step", "bass-alter"], false)?;
    }
    for degree in &harmony.degrees {
        let printed = if degree.printed { "yes" } else { "no" };
        xml.open("degree", &[("print-object", printed)])?;
        xml.number("degree-value", degree.value)?;
        xml.number("degree-alter", degree.alter)?;
        let kind = match degree.kind {
            DegreeKind::Add => "add",
            DegreeKind::Alter => "alter",
            DegreeKind::Subtract => "subtract",
        };
        xml.text("degree-type", kind)?;
        xml.close("degree")?;
    }
    if offset != Ticks::ZERO {
        xml.number("offset", offset.0)?;
    }
    xml.close("harmony")
}

/// A letter with its alteration. A silent one has a letter, since it must, but prints none.
fn step(
    xml: &mut Xml,
    step: NoteName,
    [outer, letter, alter]: [&str; 3],
    silent: bool,
) -> Result<()> {
    xml.open(outer, &[])?;
    let attributes: &[(&str, &str)] = if silent { &[("text", "")] } else { &[] };
    xml.text_with(letter, attributes, step.letter.char().encode_utf8(&mut [0; 4]))?;
    if step.alter != 0 {
        xml.number(alter, step.alter)?;
    }
    xml.close(outer)
}

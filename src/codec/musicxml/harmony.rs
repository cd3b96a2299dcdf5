//! The `harmony` element.

use roxmltree::Node;

use super::elements::{child, child_number, child_semitones, child_text, children};
use super::{DegreeElement, DegreeKind, HarmonyElement};
use crate::problem::visible;
use crate::theory::{Letter, NoteName};
use crate::units::Ticks;

/// Reads a chord; an error says what cannot be understood.
pub(super) fn read_harmony(node: Node<'_, '_>, at: Ticks) -> Result<HarmonyElement, String> {
    let kind_node = child(node, "kind").ok_or("a chord has no kind")?;
    let kind = visible(kind_node.text().unwrap_or_default().trim()).into_owned();
    let root = match child(node, "root") {
        Some(root) => read_step(root, "root-step", "root-alter")?,
        // Silence needs no root, but the element must have one: some programs leave it out.
        None if kind == "none" => NoteName::new(Letter::C, 0),
        None => return Err("a chord has no root letter; Roman numerals cannot be read".to_owned()),
    };
    let bass = child(node, "bass").map(|bass| read_step(bass, "bass-step", "bass-alter"));
    let degrees = children(node, "degree").map(read_degree).collect::<Result<_, _>>()?;
    let text = kind_node.attribute("text").map(str::trim).filter(|text| !text.is_empty());
    Ok(HarmonyElement {
        at,
        root,
        kind,
        text: text.map(|text| visible(text).into_owned()),
        degrees,
        bass: bass.transpose()?,
    })
}

/// A letter with its alteration.
pub(super) fn read_step(node: Node<'_, '_>, step: &str, alter: &str) -> Result<NoteName, String> {
    let letter = child_text(node, step).and_then(|text| {
        let mut characters = text.chars();
        characters.next().filter(|_| characters.next().is_none())
    });
    let letter = letter.and_then(Letter::from_char);
    let letter = letter.ok_or_else(|| format!("`{step}` is not a letter from A to G"))?;
    let alter = child_semitones(node, alter);
    if alter.abs() > 2 {
        return Err(format!("an alteration of {alter} semitones is too much"));
    }
    Ok(NoteName { letter, alter })
}

fn read_degree(node: Node<'_, '_>) -> Result<DegreeElement, String> {
    let value = child_number(node, "degree-value").ok_or("a degree has no value")?;
    let kind = match child_text(node, "degree-type") {
        Some("add") => DegreeKind::Add,
        Some("alter") => DegreeKind::Alter,
        Some("subtract") => DegreeKind::Subtract,
        _ => return Err("a degree is neither `add` nor `alter` nor `subtract`".to_owned()),
    };
    let printed = node.attribute("print-object") != Some("no");
    Ok(DegreeElement { kind, value, alter: child_semitones(node, "degree-alter"), printed })
}

//! Finds the score and the part that has the chords.

use roxmltree::{Document, Node, ParsingOptions};

use super::elements::{child, child_text, children};
use super::measure::{Cursor, read_measure};
use super::{LeadSheet, MusicXmlError, archive, text};

/// The most elements, attributes and texts that a score may have; a long lead sheet has 50,000.
const NODES_LIMIT: u32 = 4_000_000;

/// Reads a lead sheet from the bytes of a `.musicxml`, `.xml` or `.mxl` file: the first part that
/// has chords, or the first part if none has.
///
/// # Errors
/// Bytes that are no partwise MusicXML score; a file that is too big, or that defines entities of
/// its own; a measure that cannot be understood, by number.
pub fn read(bytes: &[u8]) -> Result<LeadSheet, MusicXmlError> {
    let text = text::decode(archive::unpack(bytes)?)?;
    // The document type that most programs write is let pass; nothing outside is ever fetched. But
    // a file's own entities could make it grow without end.
    if text.contains("<!ENTITY") {
        return Err(MusicXmlError::Entities);
    }
    let options =
        ParsingOptions { allow_dtd: true, nodes_limit: NODES_LIMIT, ..Default::default() };
    let document = Document::parse_with_options(&text, options)
        .map_err(|error| MusicXmlError::Damaged(error.to_string()))?;
    let score = document.root_element();
    match score.tag_name().name() {
        "score-partwise" => {}
        "score-timewise" => return Err(MusicXmlError::Timewise),
        other => return Err(MusicXmlError::NotAScore(other.to_owned())),
    }
    let with_chords = |part: &Node<'_, '_>| {
        children(*part, "measure").any(|measure| child(measure, "harmony").is_some())
    };
    let part = children(score, "part").find(with_chords).or_else(|| child(score, "part"));
    let part = part.ok_or(MusicXmlError::Empty)?;

    let other_parts = children(score, "part").count() - 1;
    let mut sheet = LeadSheet { title: title(score), other_parts, ..LeadSheet::default() };
    let mut cursor = Cursor::default();
    for node in children(part, "measure") {
        let number = node.attribute("number").unwrap_or("?").to_owned();
        let measure = read_measure(node, number.clone(), &mut cursor, &mut sheet.warnings)
            .map_err(|problem| MusicXmlError::Measure { measure: number, problem })?;
        sheet.measures.push(measure);
    }
    if sheet.measures.is_empty() {
        return Err(MusicXmlError::Empty);
    }
    Ok(sheet)
}

fn title(score: Node<'_, '_>) -> Option<String> {
    let work = child(score, "work").and_then(|work| child_text(work, "work-title"));
    work.or_else(|| child_text(score, "movement-title")).map(str::to_owned)
}

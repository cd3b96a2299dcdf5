//! Finds the score and the part that has the chords.

use roxmltree::{Document, Node, ParsingOptions};

use super::elements::{child, child_text, children};
use super::measure::{Cursor, read_measure};
use super::{LeadSheet, MusicXmlError, archive, marks, text};
use crate::problem::visible;

/// The most elements and texts that a score may have; a long lead sheet has 50,000.
const MOST_NODES: u32 = 1_000_000;
/// The most attributes in all; a long lead sheet has 5,000.
const MOST_ATTRIBUTES: usize = 500_000;
/// The most attributes of one element (MusicXML has elements with some dozens). The library
/// compares each with all before it.
const MOST_IN_ELEMENT: usize = 500;
/// The most names of namespaces; a score needs none or a few. The library hands all of them on to
/// every element.
const MOST_NAMESPACES: usize = 100;
/// The most measures; a chorus has at most 1,024 bars.
const MOST_MEASURES: usize = 4_096;

/// Reads a lead sheet from the bytes of a `.musicxml`, `.xml` or `.mxl` file: the first part that
/// has chords, or the first part if none has.
///
/// # Errors
/// Bytes that are no partwise MusicXML score; a file that is too big, or that defines entities of
/// its own; a measure that cannot be understood, by number.
pub fn read(bytes: &[u8]) -> Result<LeadSheet, MusicXmlError> {
    let text = text::decode(archive::unpack(bytes)?)?;
    // The document type that most programs write is read over; nothing outside is ever fetched. But
    // a file's own entities could make it grow without end.
    if text.contains("<!ENTITY") {
        return Err(MusicXmlError::Entities);
    }
    check_size(&text)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..Default::default() };
    let document = Document::parse_with_options(&text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => too_much(MOST_NODES as usize, "elements"),
        error => MusicXmlError::Damaged(visible(&error.to_string()).into_owned()),
    })?;
    let score = document.root_element();
    match score.tag_name().name() {
        "score-partwise" => {}
        "score-timewise" => return Err(MusicXmlError::Timewise),
        other => return Err(MusicXmlError::NotAScore(visible(other).into_owned())),
    }
    let with_chords = |part: &Node<'_, '_>| {
        children(*part, "measure").any(|measure| child(measure, "harmony").is_some())
    };
    let part = children(score, "part").find(with_chords).or_else(|| child(score, "part"));
    let part = part.ok_or(MusicXmlError::Empty)?;

    let other_parts = children(score, "part").count() - 1;
    let mut sheet = LeadSheet { title: title(score), other_parts, ..LeadSheet::default() };
    let mut cursor = Cursor::default();
    let mut coda_signs = Vec::new();
    for node in children(part, "measure") {
        if sheet.measures.len() >= MOST_MEASURES {
            return Err(too_much(MOST_MEASURES, "measures"));
        }
        let number = visible(node.attribute("number").unwrap_or("?")).into_owned();
        let read = read_measure(node, number.clone(), &mut cursor, &mut sheet.warnings);
        let (measure, is_coda_sign) =
            read.map_err(|problem| MusicXmlError::Measure { measure: number, problem })?;
        coda_signs.extend(is_coda_sign.then_some(sheet.measures.len()));
        sheet.measures.push(measure);
    }
    if sheet.measures.is_empty() {
        return Err(MusicXmlError::Empty);
    }
    marks::settle(&mut sheet.measures, &coda_signs);
    Ok(sheet)
}

fn title(score: Node<'_, '_>) -> Option<String> {
    let work = child(score, "work").and_then(|work| child_text(work, "work-title"));
    let title = work.or_else(|| child_text(score, "movement-title"));
    title.map(|title| visible(title).into_owned())
}

fn too_much(most: usize, what: &'static str) -> MusicXmlError {
    MusicXmlError::TooMuch { most, what }
}

/// Refuses what the library would take very long, or very much memory, to read.
fn check_size(text: &str) -> Result<(), MusicXmlError> {
    if text.matches("xmlns").nth(MOST_NAMESPACES).is_some() {
        return Err(too_much(MOST_NAMESPACES, "namespaces"));
    }
    let (mut nodes, mut all, mut in_element) = (0_u32, 0, 0);
    for byte in text.bytes() {
        match byte {
            b'<' => (nodes, in_element) = (nodes + 1, 0),
            b'=' => (all, in_element) = (all + 1, in_element + 1),
            _ => continue,
        }
        // An element has two of these signs.
        if nodes > 2 * MOST_NODES {
            return Err(too_much(MOST_NODES as usize, "elements"));
        }
        if all > MOST_ATTRIBUTES {
            return Err(too_much(MOST_ATTRIBUTES, "attributes"));
        }
        if in_element > MOST_IN_ELEMENT {
            return Err(too_much(MOST_IN_ELEMENT, "attributes in one element"));
        }
    }
    Ok(())
}

//! Small helpers over XML elements.

use roxmltree::Node;

/// The first child element of a name.
pub(super) fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    children(node, name).next()
}

/// All child elements of a name.
pub(super) fn children<'a, 'i, 'n>(
    node: Node<'a, 'i>,
    name: &'n str,
) -> impl Iterator<Item = Node<'a, 'i>> + use<'a, 'i, 'n> {
    node.children().filter(move |child| child.is_element() && child.tag_name().name() == name)
}

/// The text of a child element, trimmed; `None` if there is no such child or it is blank.
pub(super) fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name).and_then(|child| child.text()).map(str::trim).filter(|text| !text.is_empty())
}

/// The text of a child element as a number.
pub(super) fn child_number<T: std::str::FromStr>(node: Node<'_, '_>, name: &str) -> Option<T> {
    child_text(node, name)?.parse().ok()
}

/// Semitones, which MusicXML lets be fractions for microtones: the nearest whole number.
pub(super) fn child_semitones(node: Node<'_, '_>, name: &str) -> i8 {
    let semitones: f64 = child_number(node, name).unwrap_or(0.0);
    #[expect(clippy::cast_possible_truncation, reason = "clamped to a small range")]
    let whole = semitones.round().clamp(-12.0, 12.0) as i8;
    whole
}

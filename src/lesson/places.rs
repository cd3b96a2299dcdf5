//! Where in the lesson file a value stands, so that an error can point at it.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

/// One step on the way to a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step<'a> {
    /// A key of a table.
    Key(&'a str),
    /// An entry of a list, counted from 0.
    Entry(usize),
}

/// The places of all values in a file.
#[derive(Debug)]
pub(super) struct Places<'text> {
    text: &'text str,
    root: DeTable<'text>,
}

impl<'text> Places<'text> {
    /// Reads the places; a text that is no TOML has few or none.
    #[must_use]
    pub(super) fn of(text: &'text str) -> Places<'text> {
        Places { text, root: DeTable::parse_recoverable(text).0.into_inner() }
    }

    /// The bytes of the value at the end of a path; of the nearest that exists on the way, where
    /// the value was left out; of the first line, where nothing is there.
    #[must_use]
    pub(super) fn value(&self, path: &[Step<'_>]) -> Range<usize> {
        self.descend(path).0
    }

    /// The bytes of a key itself, in the table at the end of a path.
    #[must_use]
    pub(super) fn key(&self, path: &[Step<'_>], key: &str) -> Range<usize> {
        let (here, table) = self.descend(path);
        table
            .and_then(|table| table.iter().find(|(name, _)| name.get_ref() == key))
            .map_or(here, |(name, _)| name.span())
    }

    fn descend(&self, path: &[Step<'_>]) -> (Range<usize>, Option<&DeTable<'text>>) {
        let mut here = 0..self.text.lines().next().map_or(0, str::len);
        let mut table = Some(&self.root);
        let mut value: Option<&DeValue<'text>> = None;
        for step in path {
            let next = match step {
                Step::Key(key) => table.and_then(|table| table.get(*key)),
                Step::Entry(index) => {
                    value.and_then(DeValue::as_array).and_then(|list| list.get(*index))
                }
            };
            let Some(next) = next else { return (here, None) };
            here = next.span();
            value = Some(next.get_ref());
            table = next.get_ref().as_table();
        }
        (here, table)
    }

    /// The place of part of a text value: `inside` counts bytes of the text itself. Exact for
    /// texts without escapes; the whole value otherwise.
    #[must_use]
    pub(super) fn inside(&self, path: &[Step<'_>], inside: Range<usize>) -> Range<usize> {
        let whole = self.value(path);
        let written = self.text.get(whole.clone()).unwrap_or_default();
        let opening = match written.get(..3) {
            // A line's end right behind the opening quotes belongs to neither.
            Some("\"\"\"" | "'''") if written[3..].starts_with("\r\n") => 5,
            Some("\"\"\"" | "'''") => 3 + usize::from(written[3..].starts_with('\n')),
            _ => 1,
        };
        let start = whole.start + opening + inside.start;
        let end = whole.start + opening + inside.end;
        let plain = !written.contains('\\') && end < whole.end && start <= end;
        if plain && self.text.is_char_boundary(start) && self.text.is_char_boundary(end) {
            start..end
        } else {
            whole
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "title = \"Up\"\n[[chart]]\nname = \"a\"\nA = \"| C7 | F |\"\n";

    #[test]
    fn values_keys_and_parts_of_texts_are_found() {
        let places = Places::of(TEXT);
        let chart = [Step::Key("chart"), Step::Entry(0)];
        let section = [chart[0], chart[1], Step::Key("A")];
        assert_eq!(&TEXT[places.value(&section)], "\"| C7 | F |\"");
        assert_eq!(&TEXT[places.inside(&section, 2..4)], "C7");
        assert_eq!(&TEXT[places.key(&chart, "name")], "name");
        assert_eq!(&TEXT[places.value(&[Step::Key("keys")])], "title = \"Up\"");
    }
}

//! Elements, one after the other.

use std::borrow::Cow;
use std::io::Result;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// Attributes of an element.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

/// Writes indented XML into memory; texts and attributes are escaped.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
}

impl Xml {
    /// Begins a document with its XML declaration and document type.
    pub(super) fn begin(doctype: &str) -> Result<Xml> {
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 1);
        writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        writer.write_event(Event::DocType(BytesText::from_escaped(doctype)))?;
        Ok(Xml { writer })
    }

    /// The bytes, with a line feed at their end.
    pub(super) fn finish(self) -> Vec<u8> {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        bytes
    }

    /// Opens an element.
    pub(super) fn open(&mut self, name: &str, attributes: Attributes<'_>) -> Result<()> {
        self.writer.write_event(Event::Start(start(name, attributes)))
    }

    /// Closes the element that was opened last.
    pub(super) fn close(&mut self, name: &str) -> Result<()> {
        self.writer.write_event(Event::End(BytesEnd::new(name)))
    }

    /// An element with nothing in it.
    pub(super) fn empty(&mut self, name: &str, attributes: Attributes<'_>) -> Result<()> {
        self.writer.write_event(Event::Empty(start(name, attributes)))
    }

    /// An element with a text in it.
    pub(super) fn text(&mut self, name: &str, text: &str) -> Result<()> {
        self.text_with(name, &[], text)
    }

    /// An element with attributes and a text in it.
    pub(super) fn text_with(
        &mut self,
        name: &str,
        attributes: Attributes<'_>,
        text: &str,
    ) -> Result<()> {
        self.writer.write_event(Event::Start(start(name, attributes)))?;
        self.writer.write_event(Event::Text(BytesText::new(&sayable(text))))?;
        self.close(name)
    }

    /// An element with a number in it.
    pub(super) fn number(&mut self, name: &str, number: impl Into<i64>) -> Result<()> {
        self.text(name, &number.into().to_string())
    }
}

fn start<'a>(name: &'a str, attributes: Attributes<'a>) -> BytesStart<'a> {
    let mut start = BytesStart::new(name);
    for (name, value) in attributes {
        start.push_attribute((*name, sayable(value).as_ref()));
    }
    start
}

/// A text without the characters that XML 1.0 cannot say, escaped or not (its production `Char`).
fn sayable(text: &str) -> Cow<'_, str> {
    let is_sayable = |character: char| matches!(character, '\t' | '\n' | '\r' | ' '..='\u{FFFD}' | '\u{10000}'..);
    if text.chars().all(is_sayable) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().filter(|character| is_sayable(*character)).collect())
    }
}

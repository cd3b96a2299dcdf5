//! `countoff schema`

use super::args::{Schema, SchemaOf};
use super::failure::Failure;
use super::output;
use crate::deliver::Manifest;
use crate::lesson::Lesson;
use crate::style::Shelf;

/// Prints the JSON schema of a kind of file.
pub(super) fn run(options: &Schema) -> Result<(), Failure> {
    let schema = match options.of {
        SchemaOf::Lesson => Lesson::schema(),
        SchemaOf::Comp => Shelf::Comp.schema(),
        SchemaOf::Bass => Shelf::Bass.schema(),
        SchemaOf::Drums => Shelf::Drums.schema(),
        SchemaOf::Manifest => Manifest::schema(),
    };
    let text = serde_json::to_string_pretty(&schema)
        .map_err(|error| Failure::internal(format!("no schema can be made: {error}")))?;
    output::text(&text)
}

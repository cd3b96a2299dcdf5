//! JSON schemas: of the files that people write, for their editors, and of the manifest, for other
//! programs. Names, types, ranges and descriptions come from the very structs that the files are
//! read into and written from. [`read_toml`] reads such a file, and has its schema say what is wrong
//! with it.

mod allowed;
mod bounded;
mod either;
mod explain;
mod list;
mod placed;
mod read;
mod words;

pub(crate) use allowed::number_within;
pub(crate) use bounded::{Bounded, CountLength, Probability, Weight, decimal};
pub(crate) use either::Either;
pub(crate) use list::List;
pub(crate) use placed::Placed;
pub use read::read_toml;
pub(crate) use read::read_what_is_right;
pub(crate) use words::{Name, Words, text};

use schemars::generate::SchemaSettings;
use schemars::transform::transform_subschemas;
use schemars::{JsonSchema, Schema};
use serde_json::Value;

/// The schema of a TOML file that is read as a `T`, in the dialect that editors for TOML know
/// best, draft 7.
#[must_use]
pub fn of_toml<T: JsonSchema>(title: &str) -> Schema {
    let mut settings = SchemaSettings::draft07();
    // First, because the others look at what is left beside a `$ref`.
    settings.transforms.insert(0, Box::new(as_toml));
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), title.into());
    schema
}

/// The schema of a JSON file that a `T` is written to.
#[must_use]
pub fn of_json<T: JsonSchema>(title: &str) -> Schema {
    let mut settings = SchemaSettings::draft07().for_serialize();
    settings.transforms.insert(0, Box::new(as_json));
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), title.into());
    schema
}

/// JSON's numbers have no width.
fn as_json(schema: &mut Schema) {
    schema.remove("format");
    unwrap_description(schema);
    transform_subschemas(&mut as_json, schema);
}

/// TOML has no null, and its numbers no width: what is optional is left out.
fn as_toml(schema: &mut Schema) {
    schema.remove("format");
    unwrap_description(schema);
    if let Some(Value::Array(types)) = schema.get_mut("type") {
        types.retain(|name| name != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            schema.insert("type".to_owned(), only);
        }
    }
    if schema.get("default").is_some_and(Value::is_null) {
        schema.remove("default");
    }
    if let Some(Value::Array(mut choices)) = schema.remove("anyOf") {
        choices.retain(|choice| choice.get("type").is_none_or(|name| name != "null"));
        match choices.as_slice() {
            [Value::Object(only)] => {
                for (key, value) in only {
                    // What the field says of itself goes before what its type says.
                    if schema.get(key).is_none_or(Value::is_null) {
                        schema.insert(key.clone(), value.clone());
                    }
                }
            }
            _ => {
                schema.insert("anyOf".to_owned(), Value::Array(choices));
            }
        }
    }
    transform_subschemas(&mut as_toml, schema);
}

/// Puts each paragraph of a comment into one line.
fn unwrap_description(schema: &mut Schema) {
    if let Some(Value::String(comment)) = schema.get_mut("description") {
        let paragraphs: Vec<String> =
            comment.split("\n\n").map(|paragraph| paragraph.replace('\n', " ")).collect();
        *comment = paragraphs.join("\n\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(JsonSchema)]
    #[expect(dead_code, reason = "only its schema is looked at")]
    struct Sample {
        /// Whether it is.
        maybe: Option<Inner>,
        #[schemars(range(min = 1, max = 4))]
        bars: Option<i64>,
    }

    #[derive(JsonSchema, serde::Serialize)]
    struct Written {
        /// In LUFS,
        /// or nothing.
        maybe: Option<f64>,
    }

    /// An inner thing.
    #[derive(JsonSchema)]
    #[expect(dead_code, reason = "only its schema is looked at")]
    struct Inner {
        name: String,
    }

    #[test]
    fn what_is_optional_is_left_out_and_never_null() {
        let schema = of_toml::<Sample>("A sample").to_value();
        assert_eq!(schema["title"], "A sample");
        assert!(!schema.to_string().contains("null"), "{schema}");
        assert_eq!(schema["properties"]["bars"]["type"], "integer");
        assert_eq!(schema["properties"]["bars"]["maximum"], 4);
        assert_eq!(schema["properties"]["maybe"]["description"], "Whether it is.");
        assert!(schema.get("required").is_none(), "{schema}");
    }

    #[test]
    fn what_a_program_writes_is_always_there_even_where_it_is_null() {
        let schema = of_json::<Written>("A sample").to_value();
        assert_eq!(schema["required"], serde_json::json!(["maybe"]));
        assert_eq!(schema["properties"]["maybe"]["type"], serde_json::json!(["number", "null"]));
        assert_eq!(schema["properties"]["maybe"]["description"], "In LUFS, or nothing.");
    }
}

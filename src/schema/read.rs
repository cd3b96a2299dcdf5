//! TOML to values; what is wrong is said by the schema.

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde_json::Value;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer};

use super::explain::explain;
use super::of_toml;
use crate::problem::{Problem, ProblemList, of_error};

/// What is in a TOML file.
pub(crate) struct Reading<T> {
    /// What is right of it, with defaults in place of what is wrong; `None` where what is left
    /// makes no `T`.
    pub(crate) value: Option<T>,
    /// All that is wrong, each with its place, what may stand there, and the nearest right word.
    pub(crate) problems: ProblemList,
}

/// Reads a TOML text as a `T`. Where it is none, the schema of `T` says why; what a schema cannot
/// say is said by the types of `T`.
///
/// # Errors
/// The text is not TOML, or no `T`: at least one problem.
pub fn read_toml<T: DeserializeOwned + JsonSchema>(text: &str) -> Result<T, ProblemList> {
    let table = DeTable::parse(text).map_err(|error| of_error(&error))?;
    match read_what_is_right(text, table, of_toml::<T>("").as_value()) {
        Reading { value: Some(value), problems } if problems.is_empty() => Ok(value),
        Reading { problems, .. } => Err(problems),
    }
}

/// Reads a TOML table, which was parsed from `text`, as a `T`, of which `schema` is the schema. What
/// is wrong is taken out by the key that holds it, so that the rest can be looked at too.
///
/// The schema is asked whatever `T` says of the table: it is what editors go by, and some types
/// would take more (one that serde derives takes a list in place of a table).
pub(crate) fn read_what_is_right<T: DeserializeOwned>(
    text: &str,
    mut table: Spanned<DeTable<'_>>,
    schema: &Value,
) -> Reading<T> {
    let read = |table: &Spanned<DeTable<'_>>| T::deserialize(Deserializer::from(table.clone()));
    let mut problems = explain(text, table.get_ref(), schema);
    let mut taken_out = 0;
    while !problems.is_full() {
        let new: Vec<&Problem> = problems.iter().skip(taken_out).collect();
        let of_new = new.len();
        if of_new > 0 && !take_out(table.get_mut(), &new, true) {
            break;
        }
        taken_out += of_new;
        match read(&table) {
            Ok(value) => return Reading { value: Some(value), problems },
            // What is missing now was wrong before.
            Err(error) if taken_out > 0 && error.message().starts_with("missing field") => break,
            Err(error) => problems.push(of_error(&error)),
        }
    }
    Reading { value: None, problems }
}

/// Takes out every key of a file, or of an entry of its lists of tables, that has a problem in it.
/// Whether there was one.
fn take_out(table: &mut DeTable<'_>, problems: &[&Problem], is_root: bool) -> bool {
    let mut inside = false;
    let mut wrong: Vec<String> = Vec::new();
    for (key, value) in table.iter_mut() {
        let is_wrong = match value.get_mut() {
            DeValue::Array(entries) if is_root && entries.iter().all(is_table) => {
                for entry in entries.iter_mut() {
                    if let DeValue::Table(entry) = entry.get_mut() {
                        inside |= take_out(entry, problems, false);
                    }
                }
                false
            }
            _ => holds(value, problems),
        };
        if is_wrong || is_at(key, problems) || is_at(value, problems) {
            wrong.push(key.get_ref().to_string());
        }
    }
    for key in &wrong {
        table.remove(key.as_str());
    }
    inside || !wrong.is_empty()
}

fn is_table(value: &Spanned<DeValue<'_>>) -> bool {
    value.get_ref().is_table()
}

/// Whether a problem points at something.
fn is_at<T>(value: &Spanned<T>, problems: &[&Problem]) -> bool {
    problems.iter().any(|problem| problem.span == value.span())
}

/// Whether a problem points at a value, or at something in it.
fn holds(value: &Spanned<DeValue<'_>>, problems: &[&Problem]) -> bool {
    let inside = || match value.get_ref() {
        DeValue::Array(entries) => entries.iter().any(|entry| holds(entry, problems)),
        DeValue::Table(table) => {
            table.iter().any(|(key, value)| is_at(key, problems) || holds(value, problems))
        }
        _ => false,
    };
    is_at(value, problems) || inside()
}

//! TOML to values; what is wrong is told by the schema.

use schemars::JsonSchema;
use serde::de::DeserializeOwned;

use super::explain::explain;
use super::of_toml;
use crate::problem::{self, Problem};

/// Reads a TOML text as a `T`. Where it is none, the schema of `T` says why: all that is wrong,
/// each with its place, what may stand there, and the nearest right word. What a schema cannot
/// say is told as [`problem::read_toml`] tells it.
///
/// # Errors
/// The text is not TOML, or no `T`: at least one problem.
pub fn read_toml<T: DeserializeOwned + JsonSchema>(text: &str) -> Result<T, Vec<Problem>> {
    problem::read_toml(text).map_err(|problem| {
        let problems = explain(text, of_toml::<T>("").as_value());
        if problems.is_empty() { vec![problem] } else { problems }
    })
}

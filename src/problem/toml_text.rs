//! TOML to values, with errors that point at the place.

use serde::de::DeserializeOwned;

use super::{Problem, nearest};

/// Reads a TOML text as a `T`. Where `T` denies unknown fields, a wrong key comes back with the
/// nearest right one.
///
/// # Errors
/// The text is not TOML, or no `T`.
pub fn read_toml<T: DeserializeOwned>(text: &str) -> Result<T, Problem> {
    toml::from_str(text).map_err(|error| of_error(&error))
}

/// What a TOML error says. One that a type of ours raised (`serde::de::Error::custom`) may have two
/// lines: what is wrong, and what to do.
pub(crate) fn of_error(error: &toml::de::Error) -> Problem {
    let in_two_lines = || match error.message().split_once('\n') {
        Some((message, help)) => (message.to_owned(), help.to_owned()),
        None => (error.message().to_owned(), String::new()),
    };
    let (message, help) = suggestion(error.message()).unwrap_or_else(in_two_lines);
    let message = message.trim_end_matches(['.', '\n']);
    let help = help.trim_end_matches('\n').replace('\n', ", ");
    Problem::new(message, error.span().unwrap_or(0..0)).help(help)
}

/// Splits "unknown … `wrong`, expected one of `a`, `b`" into what is wrong and what may stand
/// there instead, with the nearest word first.
fn suggestion(message: &str) -> Option<(String, String)> {
    let (wrong, allowed) = message.split_once(", expected ")?;
    if !wrong.starts_with("unknown ") {
        return None;
    }
    let word = wrong.split('`').nth(1)?;
    let allowed: Vec<&str> = allowed.split('`').skip(1).step_by(2).collect();
    let list = format!("use {}", allowed.join(", "));
    let help = match nearest(word, allowed.iter().copied()) {
        Some(right) => format!("did you mean `{right}`? {list}"),
        None => list,
    };
    let wrong = wrong.replacen("unknown field", "unknown key", 1);
    let wrong = wrong.replacen("unknown variant", "unknown word", 1);
    Some((wrong, help))
}

//! Which form a progression begins with.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Which degree lies lowest in the first chord of a progression.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, JsonSchema,
)]
#[schemars(inline)]
pub enum Start {
    /// Whichever costs less motion in all.
    #[default]
    #[serde(rename = "auto")]
    Auto,
    /// The third, or what stands for it.
    #[serde(rename = "3")]
    Third,
    /// The seventh, or what stands for it.
    #[serde(rename = "7")]
    Seventh,
}

/// The text is no form to begin with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("unknown start `{0}`, expected one of `3`, `7`, `auto`")]
pub struct StartError(pub String);

impl Start {
    /// The number of the lowest degree, where one is asked for.
    #[must_use]
    pub const fn degree(self) -> Option<u8> {
        match self {
            Start::Auto => None,
            Start::Third => Some(3),
            Start::Seventh => Some(7),
        }
    }
}

impl std::str::FromStr for Start {
    type Err = StartError;
    fn from_str(text: &str) -> Result<Start, StartError> {
        match text {
            "3" => Ok(Start::Third),
            "7" => Ok(Start::Seventh),
            "auto" => Ok(Start::Auto),
            _ => Err(StartError(text.to_owned())),
        }
    }
}

impl<'de> Deserialize<'de> for Start {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Start, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

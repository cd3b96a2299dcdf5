//! Texts that are shown to people.

use std::ops::Deref;

use schemars::JsonSchema;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};

/// Words without control characters: no line ends, and nothing that a terminal would obey.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(inline)]
pub(crate) struct Words(#[schemars(regex(pattern = r"^[^\u0000-\u001f\u007f-\u009f]*$"))] String);

/// Words of which at least one sign can be seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(inline)]
pub(crate) struct Name(
    #[schemars(
        length(min = 1),
        regex(
            pattern = r"^[^\u0000-\u001f\u007f-\u009f]*[^\s\u0000-\u001f\u007f-\u009f][^\u0000-\u001f\u007f-\u009f]*$"
        )
    )]
    String,
);

/// What is said of a text with a sign that only machines read, and what can be done about it.
///
/// # Errors
/// There is such a sign.
pub(crate) fn without_controls<E: Error>(text: &str) -> Result<(), E> {
    text.chars().find(|sign| sign.is_control()).map_or(Ok(()), |sign| {
        let code = u32::from(sign);
        Err(E::custom(format_args!(
            "there is a control character here (U+{code:04X})\nwrite it without"
        )))
    })
}

impl<'de> Deserialize<'de> for Words {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Words, D::Error> {
        let text = String::deserialize(deserializer)?;
        without_controls(&text)?;
        Ok(Words(text))
    }
}

impl<'de> Deserialize<'de> for Name {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Name, D::Error> {
        let Words(text) = Words::deserialize(deserializer)?;
        if text.trim().is_empty() {
            return Err(D::Error::custom("this is empty\nwrite something"));
        }
        Ok(Name(text))
    }
}

impl Deref for Words {
    type Target = String;
    fn deref(&self) -> &String {
        &self.0
    }
}

impl Deref for Name {
    type Target = String;
    fn deref(&self) -> &String {
        &self.0
    }
}

impl From<Words> for String {
    fn from(words: Words) -> String {
        words.0
    }
}

impl From<Name> for String {
    fn from(name: Name) -> String {
        name.0
    }
}

/// Defines a value that is written as a text: its type, what its schema says of the text, and how
/// it is read. A message may have a second line with what to do.
macro_rules! text {
    ($(#[$about:meta])* $name:ident($type:ty), [$($schema:tt)*], $read:expr) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq, schemars::JsonSchema)]
        #[schemars(inline)]
        pub(crate) struct $name(#[schemars(with = "String", $($schema)*)] $type);

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let read: fn(&str) -> Result<$type, String> = $read;
                let text = String::deserialize(from)?;
                read(&text).map($name).map_err(serde::de::Error::custom)
            }
        }

        impl std::ops::Deref for $name {
            type Target = $type;
            fn deref(&self) -> &$type {
                &self.0
            }
        }
    };
}
pub(crate) use text;

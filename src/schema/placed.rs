//! A value with its place in the text.

use std::borrow::Cow;
use std::ops::{Deref, Range};

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize, Serializer};
use toml::Spanned;

/// A value that knows where it was written, so that an error can point at it. Its schema is that
/// of the value.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct Placed<T>(Spanned<T>);

impl<T> Placed<T> {
    /// Its bytes in the text.
    #[must_use]
    pub(crate) fn span(&self) -> Range<usize> {
        self.0.span()
    }
}

impl<T> From<T> for Placed<T> {
    /// A value that was not written: a default.
    fn from(value: T) -> Placed<T> {
        Placed(Spanned::new(0..0, value))
    }
}

impl<T> Deref for Placed<T> {
    type Target = T;
    fn deref(&self) -> &T {
        self.0.get_ref()
    }
}

impl<T: Serialize> Serialize for Placed<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.get_ref().serialize(serializer)
    }
}

impl<T: JsonSchema> JsonSchema for Placed<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}

//! A value that may be written in two ways, of different types.

use std::fmt;
use std::marker::PhantomData;

use schemars::JsonSchema;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{IntoDeserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

/// One text or number, or a list or table. Unlike an untagged enum of serde's it keeps the places
/// of the values inside, and the messages of what is wrong with them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(inline)]
pub(crate) enum Either<Single, Several> {
    /// A text or a number.
    Single(Single),
    /// A list or a table.
    Several(Several),
}

impl<'de, S: Deserialize<'de>, M: Deserialize<'de>> Deserialize<'de> for Either<S, M> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ByType(PhantomData))
    }
}

struct ByType<S, M>(PhantomData<(S, M)>);

macro_rules! single {
    ($($visit:ident: $type:ty),*) => {$(
        fn $visit<E: serde::de::Error>(self, value: $type) -> Result<Self::Value, E> {
            S::deserialize(value.into_deserializer()).map(Either::Single)
        }
    )*};
}

impl<'de, S: Deserialize<'de>, M: Deserialize<'de>> Visitor<'de> for ByType<S, M> {
    type Value = Either<S, M>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("another type of value")
    }

    single!(visit_str: &str, visit_i64: i64, visit_f64: f64, visit_bool: bool);

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Self::Value, A::Error> {
        M::deserialize(SeqAccessDeserializer::new(list)).map(Either::Several)
    }

    fn visit_map<A: MapAccess<'de>>(self, table: A) -> Result<Self::Value, A::Error> {
        M::deserialize(MapAccessDeserializer::new(table)).map(Either::Several)
    }
}

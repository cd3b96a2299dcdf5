//! Lists with a least and a greatest number of entries.

use std::fmt;
use std::marker::PhantomData;
use std::ops::Deref;

use schemars::JsonSchema;
use serde::de::{Error, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

/// A list of `LEAST` to `MOST` entries. Where it is left out and the file allows that, it is empty
/// whatever `LEAST` says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(inline)]
pub(crate) struct List<T, const LEAST: usize, const MOST: usize>(
    #[schemars(length(min = LEAST, max = MOST))] Vec<T>,
);

impl<T, const LEAST: usize, const MOST: usize> Default for List<T, LEAST, MOST> {
    fn default() -> Self {
        List(Vec::new())
    }
}

impl<T, const LEAST: usize, const MOST: usize> Deref for List<T, LEAST, MOST> {
    type Target = [T];
    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T, const LEAST: usize, const MOST: usize> From<Vec<T>> for List<T, LEAST, MOST> {
    /// A list that the program itself makes.
    fn from(entries: Vec<T>) -> Self {
        List(entries)
    }
}

impl<'de, T: Deserialize<'de>, const LEAST: usize, const MOST: usize> Deserialize<'de>
    for List<T, LEAST, MOST>
{
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_seq(UpTo(PhantomData))
    }
}

struct UpTo<T, const LEAST: usize, const MOST: usize>(PhantomData<T>);

impl<'de, T: Deserialize<'de>, const LEAST: usize, const MOST: usize> Visitor<'de>
    for UpTo<T, LEAST, MOST>
{
    type Value = List<T, LEAST, MOST>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = list.next_element()? {
            entries.push(entry);
            if entries.len() > MOST {
                let message = format_args!("the list has more than {MOST} entries");
                return Err(A::Error::custom(message));
            }
        }
        if entries.len() < LEAST {
            return Err(A::Error::custom("the list is empty"));
        }
        Ok(List(entries))
    }
}

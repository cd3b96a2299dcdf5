//! One of the shares into which the work on a course is cut, for several machines.

use std::fmt;
use std::num::NonZeroU32;
use std::str::FromStr;

/// The most shares that work can be cut into.
const MOST: u32 = 10_000;

/// One share of so many: `3/16` is typed, `3-of-16` stands in file names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shard {
    number: NonZeroU32,
    count: NonZeroU32,
}

/// A share that cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is no share: write 3/16 for the third of sixteen (at most {MOST})")]
pub struct ShardError(String);

impl Shard {
    /// Its place among the shares, counted from 0.
    #[must_use]
    pub const fn index(self) -> u32 {
        self.number.get() - 1
    }

    /// How many shares there are.
    #[must_use]
    pub const fn count(self) -> NonZeroU32 {
        self.count
    }

    /// The share that stands in a file name as [`Shard`] shows it: `3-of-16`.
    pub(crate) fn of_file_name(text: &str) -> Option<Shard> {
        let (number, count) = text.split_once("-of-")?;
        format!("{number}/{count}").parse().ok()
    }
}

impl FromStr for Shard {
    type Err = ShardError;

    fn from_str(text: &str) -> Result<Shard, ShardError> {
        let numbers = text.split_once('/').and_then(|(number, count)| {
            let (number, count) = (number.trim().parse().ok()?, count.trim().parse().ok()?);
            Some(Shard { number, count })
        });
        numbers
            .filter(|shard| shard.number <= shard.count && shard.count.get() <= MOST)
            .ok_or_else(|| ShardError(text.to_owned()))
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-of-{}", self.number, self.count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_read_and_named() {
        let shard: Shard = "3/16".parse().unwrap();
        assert_eq!((shard.index(), shard.count().get()), (2, 16));
        assert_eq!(shard.to_string(), "3-of-16");
        for wrong in ["", "3", "0/16", "17/16", "3/0", "-1/4", "3/16/2", "a/b", "1/99999"] {
            assert!(wrong.parse::<Shard>().is_err(), "{wrong}");
        }
    }
}

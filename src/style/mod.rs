//! Styles: files that say how one part is played.
//!
//! A [`Library`] holds the texts of the built-in styles and of the user's own, by [`Shelf`];
//! [`StyleFile::read`] turns a text into a checked style or into a [`StyleError`] that points at
//! the place. The format is documented in `styles/README.md`, beside the files.

mod count;
mod error;
mod library;
mod read;

pub use count::{Count, CountError};
pub use error::{StyleError, UnknownStyle};
pub use library::{Library, Shelf, StyleFile};
pub use read::{Heading, Level};

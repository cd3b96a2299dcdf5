//! The lesson file.
pub mod file;
mod places;

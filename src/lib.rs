//! Countoff.

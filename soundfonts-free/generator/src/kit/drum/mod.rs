//! Drums: stretched skins over a shell, struck by felt, wood or wire.

pub mod cross_stick;
pub mod kick;
pub mod skin;
pub mod snare;
pub mod tom;

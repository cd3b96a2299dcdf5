//! Computes the embedded SoundFont.

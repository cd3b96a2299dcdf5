//! Finished audio, made by the embedded SoundFont and measured: swing, clock, level, harmony.

#![expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test that panics fails, and its numbers are small"
)]

mod changed_code;
mod clock;
mod full_disk;
mod harmony;
mod harness;
mod joint;
mod level;
mod no_count_in;
mod sums;
mod swing;

//! Acceptance of the embedded SoundFont: the finished file, played by a
//! synthesiser that knows nothing of how it was made, measured by standards and
//! by what is published of real instruments.
//!
//! `SOUNDFONT_UNDER_TEST=other.sf2 cargo test --test library soundfont` measures
//! another file.

mod bass;
mod decay;
mod drums;
mod gestures;
mod headroom;
mod lines;
mod listen;
mod loops;
mod loudness;
mod measure;
mod onset;
mod presets;
mod stereo;
mod timbre;
mod tuning;

/// Fails with every violation, so that one run shows the whole picture.
fn none(violations: &[String]) {
    assert!(violations.is_empty(), "{} violations:\n{}", violations.len(), violations.join("\n"));
}

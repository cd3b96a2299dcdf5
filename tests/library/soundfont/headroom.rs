//! Loud enough to be heard softly, soft enough not to clip.

use super::listen::{PIANO, chord, note, path};

/// Two hands of five notes at velocity 120, with rustysynth's default master
/// volume of 0.5 and full channel volume: under -3 dBFS.
#[test]
fn ten_loud_notes_do_not_clip() {
    let keys = [36, 43, 48, 52, 58, 62, 64, 67, 72, 76];
    let sound = chord(PIANO, &keys, 120, 1.0, 0.5);
    let peak = sound.left.iter().chain(&sound.right).fold(0.0_f64, |m, x| m.max(x.abs()));
    let level = 20.0 * peak.log10();
    assert!(level < -3.0, "{level:.2} dBFS");
    assert!(level > -20.0, "{level:.2} dBFS is needlessly soft");
}

/// Soft notes stay above the synthesiser's threshold of -60 dB, below which it
/// drops a voice.
#[test]
fn soft_notes_are_heard() {
    for key in 21..=108 {
        let sound = note(PIANO, key, 20, 0.2);
        assert!(sound.power(0.0, 0.2) > 1e-12, "key {key} is silent");
    }
}

/// The file is embedded in the program.
#[test]
fn the_file_is_small() {
    let bytes = std::fs::metadata(path()).unwrap().len();
    assert!(bytes <= 10_000_000, "{bytes} bytes");
}

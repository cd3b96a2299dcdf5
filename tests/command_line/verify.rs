//! `verify` finds what happened to files after they were made.

use crate::harness::{Desk, SMALL};

#[test]
fn a_set_as_it_was_made_is_well() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let said = desk.does(&["verify", "lesson"]);
    assert!(said.stdout.contains("11 files, all as they were made"), "{}", said.stdout);
}

#[test]
fn missing_cut_changed_and_quieter_files_are_told_apart() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let file = |name: &str| format!("lesson/02-band/02-band_c-major_{name}.wav");
    std::fs::remove_file(desk.path(file("240"))).unwrap();
    let bytes = std::fs::read(desk.path(file("300"))).unwrap();
    desk.write(&file("300"), &bytes[..bytes.len() / 2]);
    // Half as loud, sample by sample: the samples follow the last `data` of the head (its cue
    // points have the word too) and their size.
    let path = file("300_without-bass");
    let mut bytes = std::fs::read(desk.path(&path)).unwrap();
    let data = bytes[..8192].windows(4).rposition(|four| four == b"data").unwrap() + 8;
    for sample in bytes[data..].chunks_exact_mut(2) {
        let half = i16::from_le_bytes([sample[0], sample[1]]) / 2;
        sample.copy_from_slice(&half.to_le_bytes());
    }
    desk.write(&path, bytes);
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    for expected in [
        "02-band_c-major_240.wav: missing",
        "02-band_c-major_300.wav: cut short",
        "02-band_c-major_300_without-bass.wav: changed",
        "02-band_c-major_300_without-bass.wav: off its level",
    ] {
        assert!(said.stdout.contains(expected), "{expected} in:\n{}", said.stdout);
    }
    assert!(said.stderr.contains("3 of 11 files"), "{}", said.stderr);
    assert_eq!(desk.types(&["verify", "nowhere"]).code, 2);
}

//! The formats in which mixes are made.

use crate::harness::{Desk, SMALL};

/// The lesson with something said of its files.
fn lesson(files: &str) -> String {
    SMALL.replace("notes = []", &format!("notes = []\n{files}"))
}

const BAND: &str = "02-band/02-band_c-major_300";

fn count(files: &[String], ending: &str) -> usize {
    files.iter().filter(|file| file.ends_with(ending)).count()
}

#[test]
fn every_mix_is_made_in_every_format_and_verified() {
    let desk = Desk::with_lesson(&lesson("formats = [\"flac\", \"wav\"]"));
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let files = desk.files("lesson");
    assert_eq!((count(&files, ".wav"), count(&files, ".flac"), count(&files, ".mid")), (6, 6, 4));
    let said = desk.does(&["verify", "lesson"]);
    assert!(said.stdout.contains("17 files, all as they were made"), "{}", said.stdout);

    // One byte in the middle of the samples.
    let path = format!("lesson/{BAND}.flac");
    let mut bytes = std::fs::read(desk.path(&path)).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x55;
    desk.write(&path, bytes);
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    assert!(said.stdout.contains(&format!("{BAND}.flac: changed")), "{}", said.stdout);
}

#[test]
fn another_format_leaves_the_files_that_are_there_alone() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let said = desk.does(&["render", "lesson.toml", "--json", "--format", "wav,flac"]);
    let made = said.made();
    assert_eq!((made.len(), count(&made, ".flac")), (7, 6), "{made:?}");
    let said = desk.does(&["render", "lesson.toml", "--json", "--format", "flac,wav"]);
    assert!(said.made().is_empty(), "{:?}", said.made());
    // Floating point there is none in FLAC.
    desk.does(&["render", "lesson.toml", "--quiet", "--format", "flac", "--bits", "32"]);
    let bytes = std::fs::read(desk.path(format!("lesson/{BAND}.flac"))).unwrap();
    // RFC 9639, 8.2: bits of a sample less one, in five bits from the last of byte 20 on.
    assert_eq!((bytes[20] & 1) << 4 | bytes[21] >> 4, 23);
}

#[test]
fn one_format_that_was_lost_is_made_again_alone() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet", "--format", "wav,flac"]);
    let lost = format!("{BAND}_without-bass.flac");
    let whole = std::fs::read(desk.path(format!("lesson/{lost}"))).unwrap();
    std::fs::remove_file(desk.path(format!("lesson/{lost}"))).unwrap();
    let said = desk.does(&["render", "lesson.toml", "--json", "--format", "wav,flac"]);
    assert_eq!(said.made(), std::slice::from_ref(&lost));
    assert!(std::fs::read(desk.path(format!("lesson/{lost}"))).unwrap() == whole);
}

#[test]
fn a_format_that_there_is_not_is_told_with_its_place() {
    for (files, said) in [
        ("formats = [\"wav\", \"flak\"]", "did you mean \"flac\"?"),
        ("formats = []", "the list `formats` is empty"),
        ("formats = [\"wav\", \"wav\"]", "is there twice"),
    ] {
        let desk = Desk::with_lesson(&lesson(files));
        let answer = desk.types(&["render", "lesson.toml", "--quiet"]);
        assert_eq!(answer.code, 2, "{files}");
        assert!(answer.stderr.contains(said), "{files}: {}", answer.stderr);
        assert!(answer.stderr.contains("lesson.toml:26:"), "{files}: {}", answer.stderr);
    }
    let desk = Desk::with_lesson(SMALL);
    assert_eq!(desk.types(&["render", "lesson.toml", "--format", "ogg"]).code, 2);
}

#[cfg(not(feature = "mp3"))]
#[test]
fn a_program_without_mp3_says_how_to_get_one_with_it() {
    let desk = Desk::with_lesson(&lesson("formats = [\"mp3\"]"));
    for words in [&["render", "lesson.toml"][..], &["quick", "Dm7 | G7", "--format", "mp3"]] {
        let said = desk.types(words);
        assert_eq!(said.code, 2);
        assert!(said.stderr.contains("built without MP3"), "{}", said.stderr);
        assert!(said.stderr.contains("--features mp3"), "{}", said.stderr);
    }
}

/// What ffmpeg makes of them is told in tests/outside.
#[cfg(feature = "mp3")]
#[test]
fn mp3_files_have_tags_and_chapters_and_are_told_from_changed_ones() {
    use id3::TagLike;
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet", "--format", "mp3,wav"]);
    let path = desk.path(format!("lesson/{BAND}.mp3"));
    let tag = id3::Tag::read_from_path(&path).unwrap();
    assert_eq!((tag.title(), tag.album(), tag.track()), (Some("band"), Some("Small"), Some(2)));
    assert!(tag.chapters().any(|chapter| {
        chapter.frames.iter().any(|frame| frame.content().text() == Some("Chorus 1"))
    }));
    // 192,000 bits are 24,000 bytes a second; tags and the encoder's delay come on top.
    let wav = std::fs::metadata(desk.path(format!("lesson/{BAND}.wav"))).unwrap().len();
    let seconds = wav as f64 / 176_400.0;
    let bytes = std::fs::read(&path).unwrap();
    assert!((bytes.len() as f64 / 24_000.0 - seconds).abs() < 0.15, "{} bytes", bytes.len());
    assert!(desk.does(&["verify", "lesson"]).stdout.contains("as they were made"));
    desk.write(&format!("lesson/{BAND}.mp3"), &bytes[..bytes.len() - 1]);
    assert!(desk.types(&["verify", "lesson"]).stdout.contains("cut short"));
}

/// RIFF counts bytes in 32 bits. It is known before any work begins, and FLAC holds more.
#[test]
fn a_take_that_no_wav_file_can_hold_is_refused_before_it_is_made() {
    let lesson = SMALL.replace("tempos = [240, 300]", "tempos = [20]");
    let lesson = lesson.replace("comp = \"shells\"", "comp = \"shells\"\nchoruses = 999");
    let lesson = lesson.replace("notes = []", "notes = []\nbits = 24");
    let desk = Desk::with_lesson(&lesson);
    for command in [
        &["check", "lesson.toml"][..],
        &["render", "lesson.toml", "--plan"],
        &["render", "lesson.toml"],
    ] {
        let said = desk.types(command);
        assert_eq!(said.code, 2, "{command:?}: {}", said.stderr);
        let words: String = said.stderr.split_whitespace().collect();
        for expected in ["track1", "lefthand", "4,294,967,295", "anotherformat"] {
            assert!(words.contains(expected), "{command:?}: {}", said.stderr);
        }
        assert!(!desk.path("lesson").exists());
    }
    desk.does(&["render", "lesson.toml", "--plan", "--format", "flac"]);
}

//! What the teacher changed is never overwritten or removed.

use std::fs::File;

use crate::harness::{Desk, SMALL, Said};

const SHEET: &str = "notes/01-left-hand_g-minor.musicxml";
const SOUND: &str = "02-band/02-band_c-major_300.wav";

/// A made set with sheets of notes.
fn made() -> (Desk, String) {
    let lesson = SMALL.replace("notes = []", "notes = [\"concert\"]");
    let desk = Desk::with_lesson(&lesson);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    (desk, lesson)
}

fn read(desk: &Desk, path: &str) -> Vec<u8> {
    std::fs::read(desk.path("lesson").join(path)).unwrap()
}

/// The words of a message that is broken into lines.
fn words(text: &str) -> String {
    text.split_whitespace().filter(|word| !matches!(*word, "│" | "|")).collect::<Vec<_>>().join(" ")
}

fn render(desk: &Desk) -> Said {
    desk.does(&["render", "lesson.toml", "--json"])
}

#[test]
fn a_sheet_with_fingering_stays_and_the_rest_of_the_set_is_made() {
    let (desk, lesson) = made();
    let ours = String::from_utf8(read(&desk, SHEET)).unwrap();
    let fingered = ours.replacen("</note>", "<!-- 1 3 5 --></note>", 1);
    assert!(fingered != ours);
    desk.write(&format!("lesson/{SHEET}"), &fingered);
    desk.write("lesson.toml", lesson.replace("D7b9", "Ab7"));
    let said = desk.does(&["render", "lesson.toml"]);
    let note = said.stderr.lines().find(|line| line.contains(SHEET)).unwrap();
    assert!(
        note.contains("left as it is") && note.contains("move it away and run again"),
        "{note}"
    );
    assert!(said.stdout.contains(", 1 left as you changed them"), "{}", said.stdout);
    assert_eq!(read(&desk, SHEET), fingered.as_bytes());
    desk.does(&["render", "lesson.toml", "--quiet", "--out", "fresh"]);
    let differ = desk.contents("lesson").into_iter().zip(desk.contents("fresh"));
    let differ: Vec<String> =
        differ.filter(|(one, other)| one != other).map(|((path, _), _)| path).collect();
    assert_eq!(differ, ["manifest.json", SHEET], "all else is as it should be");
    // It goes into the archive as it is, and stays for as long as it is there.
    desk.does(&["render", "lesson.toml", "--quiet", "--zip"]);
    let zip = read(&desk, "small.zip");
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(zip)).unwrap();
    let held = std::io::read_to_string(zip.by_name(&format!("small/{SHEET}")).unwrap()).unwrap();
    assert_eq!(held, fingered);
    std::fs::remove_file(desk.path("lesson").join(SHEET)).unwrap();
    assert_eq!(render(&desk).made(), [SHEET]);
    assert_eq!(render(&desk).told("left-alone"), [""; 0]);
}

#[test]
fn pruning_leaves_what_was_changed() {
    let (desk, lesson) = made();
    desk.write(&format!("lesson/{SHEET}"), "mine");
    let track = "[[track]]\nname = \"left hand\"\nchart = \"cadence\"\ncomp = \"shells\"\n";
    desk.write("lesson.toml", lesson.replace(track, ""));
    let said = desk.does(&["render", "lesson.toml", "--json", "--prune"]);
    assert_eq!(said.told("left-alone"), [SHEET]);
    assert_eq!(read(&desk, SHEET), b"mine");
    let left = desk.files("lesson");
    assert!(!left.iter().any(|file| file.starts_with("01-left-hand/")), "{left:?}");
    assert!(desk.does(&["verify", "lesson"]).stdout.contains("all as they were made"));
}

#[test]
fn a_file_that_was_not_made_here_stays_and_the_rest_is_made() {
    let desk = Desk::with_lesson(SMALL);
    desk.write(&format!("lesson/{SOUND}"), "mine");
    desk.write("lesson/index.html", "mine too");
    let said = render(&desk);
    assert_eq!(said.told("left-alone"), [SOUND, "index.html"]);
    assert_eq!(said.made().len(), 9);
    assert_eq!(
        (read(&desk, SOUND), read(&desk, "index.html")),
        (b"mine".into(), b"mine too".into())
    );
    desk.does(&["verify", "lesson"]);
}

#[test]
fn a_file_that_was_cut_short_is_reported_and_made_once_it_is_away() {
    let (desk, _) = made();
    let whole = read(&desk, SOUND);
    desk.write(&format!("lesson/{SOUND}"), &whole[..whole.len() / 2]);
    let said = render(&desk);
    assert_eq!((said.told("left-alone"), said.made()), (vec![SOUND.to_owned()], vec![]));
    std::fs::remove_file(desk.path("lesson").join(SOUND)).unwrap();
    assert_eq!(render(&desk).made(), [SOUND]);
    assert_eq!(read(&desk, SOUND), whole);
}

/// Its size and its time are as they were: only its bytes tell.
#[test]
fn what_verify_says_of_a_changed_byte_is_what_helps() {
    let (desk, lesson) = made();
    let path = desk.path("lesson").join(SOUND);
    let time = path.metadata().unwrap().modified().unwrap();
    let ours = read(&desk, SOUND);
    let mut theirs = ours.clone();
    *theirs.last_mut().unwrap() ^= 1;
    let put = || {
        std::fs::write(&path, &theirs).unwrap();
        File::options().write(true).open(&path).unwrap().set_modified(time).unwrap();
    };
    put();
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    assert!(said.stdout.contains(&format!("{SOUND}: changed")), "{}", said.stdout);
    let told = words(&said.stderr);
    assert!(told.contains("leaves alone what was changed"), "{told}");
    assert!(told.contains("move it away first"), "{told}");
    assert!(render(&desk).made().is_empty());
    assert_eq!(read(&desk, SOUND), theirs);
    // Neither with other tags nor with other notes is it written over.
    desk.write("lesson.toml", lesson.replace("\"Small\"", "\"Another title\""));
    assert_eq!(render(&desk).told("left-alone"), [SOUND]);
    desk.write("lesson.toml", lesson.replace("Cmaj7", "C6"));
    assert_eq!(render(&desk).told("left-alone"), [SOUND]);
    assert_eq!(read(&desk, SOUND), theirs);
    // What was said helps.
    desk.write("lesson.toml", &lesson);
    std::fs::remove_file(&path).unwrap();
    render(&desk);
    assert_eq!(read(&desk, SOUND), ours);
    assert!(desk.does(&["verify", "lesson"]).stdout.contains("all as they were made"));
}

#[test]
fn files_are_known_again_without_their_manifest() {
    let (desk, _) = made();
    let before = desk.contents("lesson");
    desk.write("lesson/manifest.json", "{ damaged");
    let said = desk.types(&["render", "lesson.toml"]);
    assert_eq!(said.code, 1);
    let told = words(&said.stderr);
    assert!(told.contains("move it away and run again"), "{told}");
    std::fs::remove_file(desk.path("lesson/manifest.json")).unwrap();
    assert_eq!(render(&desk).told("left-alone"), [""; 0]);
    assert!(desk.contents("lesson") == before);
    // Neither is it a reason to write over what was changed.
    std::fs::remove_file(desk.path("lesson/manifest.json")).unwrap();
    desk.write(&format!("lesson/{SHEET}"), "mine");
    assert!(render(&desk).told("left-alone").contains(&SHEET.to_owned()));
    assert_eq!(read(&desk, SHEET), b"mine");
}

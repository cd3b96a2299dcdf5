//! Nothing is made twice: what a run makes, tags and keeps after a change, by count.

use crate::harness::{Desk, SMALL};

/// Sound files that the lesson gives, in two formats each.
const SOUNDS: usize = 6 * 2;

/// A made set in WAV and FLAC, played with a comp style of the lesson's own.
fn made() -> (Desk, String) {
    let lesson = SMALL
        .replace("title =", "styles = \"styles\"\ntitle =")
        .replace("notes = []", "notes = []\nformats = [\"wav\", \"flac\"]")
        .replace("\"shells\"", "\"mine\"");
    let desk = Desk::with_lesson(&lesson);
    let style = desk.does(&["styles", "shells"]).stdout;
    desk.write("styles/comp/mine.toml", style);
    assert_eq!(desk.does(&["render", "lesson.toml", "--json"]).made().len(), SOUNDS + 4 + 1);
    (desk, lesson)
}

#[test]
fn a_changed_title_changes_tags_and_no_sound() {
    let (desk, lesson) = made();
    let titled = lesson.replace("\"Small\"", "\"A much longer title than it was before\"");
    desk.write("lesson.toml", &titled);
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert_eq!(said.made(), ["index.html"]);
    assert_eq!(said.told("tagged").len(), SOUNDS);
    assert_eq!(said.told("kept").len(), 4, "MIDI files know nothing of it");
    // It is the set that is made from nothing.
    desk.does(&["render", "lesson.toml", "--quiet", "--out", "fresh"]);
    assert!(desk.contents("lesson") == desk.contents("fresh"));
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert_eq!((said.told("tagged").len(), said.told("kept").len()), (0, SOUNDS + 5));
}

#[test]
fn one_more_track_leaves_the_sound_of_the_others() {
    let (desk, lesson) = made();
    let more = "\n[[track]]\nname = \"more\"\nchart = \"other\"\ncomp = \"shells\"\n";
    desk.write("lesson.toml", lesson + more);
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    // The others are now tracks of three.
    assert_eq!(said.told("tagged").len(), SOUNDS);
    let concerned = |path: &String| path.starts_with("03-more/") || path == "index.html";
    assert!(said.made().iter().all(concerned), "{:?}", said.made());
}

#[test]
fn a_changed_style_makes_its_tracks() {
    let (desk, _) = made();
    let style = std::fs::read_to_string(desk.path("styles/comp/mine.toml")).unwrap();
    desk.write("styles/comp/mine.toml", format!("# A remark moves no note.\n{style}"));
    assert!(desk.does(&["render", "lesson.toml", "--json"]).made().is_empty());
    let other = desk.does(&["styles", "guide-tones"]).stdout;
    desk.write("styles/comp/mine.toml", other);
    let made = desk.does(&["render", "lesson.toml", "--json"]).made();
    assert_eq!(made.len(), 4 + 2 + 1);
    let concerned = |path: &String| path.starts_with("01-left-hand/") || path == "index.html";
    assert!(made.iter().all(concerned), "{made:?}");
}

#[test]
fn a_changed_soundfont_makes_what_is_heard_of_it() {
    let (desk, _) = made();
    let font = concat!(env!("CARGO_MANIFEST_DIR"), "/soundfonts-free/countoff-trio.sf2");
    let same = desk.does(&["render", "lesson.toml", "--json", "--soundfont", font]);
    assert!(same.made().is_empty(), "known by its content");
    let mut bytes = std::fs::read(font).unwrap();
    let find = |bytes: &[u8], what: &[u8]| bytes.windows(what.len()).position(|at| at == what);
    let render = |bytes: &[u8]| {
        desk.write("other.sf2", bytes);
        let said = desk.does(&["render", "lesson.toml", "--json", "--soundfont", "other.sf2"]);
        said.made().into_iter().filter(|path| path != "index.html").collect::<Vec<String>>()
    };
    // A letter of its licence, and a sample of an instrument that is not played.
    let data = find(&bytes, b"smpl").unwrap() + 8;
    let sample = |bytes: &[u8], name: &[u8]| {
        let start = find(bytes, name).unwrap() + 20;
        data + 2 * u32::from_le_bytes(bytes[start..start + 4].try_into().unwrap()) as usize
    };
    let unheard = [find(&bytes, b"ICOP").unwrap() + 8, sample(&bytes, b"Vibes tone\0") + 100];
    unheard.into_iter().for_each(|at| bytes[at] ^= 0x20);
    assert_eq!(render(&bytes), [""; 0]);
    // One bit of a sample of the bass: the takes without a bass are left alone.
    let bass = sample(&bytes, b"Bass 34\0") + 100;
    bytes[bass] ^= 1;
    let made = render(&bytes);
    assert_eq!(made.len(), 4 * 2);
    assert!(made.iter().all(|path| path.starts_with("02-band/")), "{made:?}");
    // The same of the piano: all are made.
    let piano = sample(&bytes, b"Piano 48 base\0") + 20_000;
    bytes[piano] ^= 1;
    assert_eq!(render(&bytes).len(), SOUNDS);
    assert_eq!(render(&bytes), [""; 0]);
}

#[test]
fn a_set_that_was_copied_is_known_by_its_content() {
    let (desk, _) = made();
    for (file, bytes) in desk.contents("lesson") {
        desk.write(&format!("copy/{file}"), bytes);
    }
    let said = desk.does(&["render", "lesson.toml", "--json", "--out", "copy"]);
    assert_eq!((said.made().len(), said.told("kept").len()), (0, SOUNDS + 5));
    // A file of the right size with another content is not: somebody changed it.
    let path = "copy/02-band/02-band_c-major_300.wav";
    let mut bytes = std::fs::read(desk.path(path)).unwrap();
    let last = bytes.len() - 1;
    bytes[last] ^= 1;
    desk.write(path, bytes);
    let said = desk.does(&["render", "lesson.toml", "--json", "--out", "copy"]);
    assert_eq!(said.told("left-alone"), ["02-band/02-band_c-major_300.wav"]);
    assert!(said.made().is_empty());
}

#[test]
fn a_run_says_in_one_line_what_it_made_and_a_quiet_one_says_nothing() {
    let desk = Desk::with_lesson(SMALL);
    let planned = desk.does(&["render", "lesson.toml", "--plan", "--json"]).stdout.lines().count();
    let said = desk.does(&["render", "lesson.toml"]);
    assert!(said.stdout.starts_with(&format!("{planned} files made (")), "{}", said.stdout);
    assert_eq!((said.stdout.lines().count(), said.stderr.as_str()), (1, ""));
    let said = desk.does(&["render", "lesson.toml"]);
    let nothing = format!("nothing to make: {planned} files are as they should be, in lesson\n");
    assert_eq!((said.stdout, said.stderr), (nothing, String::new()));
    for out in ["lesson", "another"] {
        let said = desk.does(&["render", "lesson.toml", "--quiet", "--out", out]);
        assert_eq!((said.stdout.as_str(), said.stderr.as_str()), ("", ""));
    }
}

//! The sheets of notes beside the sound files.

use countoff::codec::musicxml;

use crate::harness::{Desk, SMALL};

/// The lesson with notes for some readers.
fn lesson(readers: &str) -> String {
    SMALL.replace("notes = []", &format!("notes = {readers}"))
}

/// The paths of the sheets.
fn sheets(desk: &Desk) -> Vec<String> {
    let files = desk.files("lesson").into_iter();
    files.filter(|path| path.ends_with(".musicxml")).collect()
}

#[test]
fn a_sheet_for_the_hands_of_every_track_and_one_for_every_chart() {
    let desk = Desk::with_lesson(&lesson("[\"concert\"]"));
    desk.does(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(
        sheets(&desk),
        [
            "notes/01-left-hand_g-minor.musicxml",
            "notes/02-band_c-major.musicxml",
            "notes/chart-cadence_g-minor.musicxml",
            "notes/chart-other_c-major.musicxml",
        ]
    );
    let read = |path: &str| std::fs::read(desk.path("lesson").join(path)).unwrap();
    let sheet = musicxml::read(&read("notes/chart-cadence_g-minor.musicxml")).unwrap();
    let chords: Vec<String> = sheet
        .measures
        .iter()
        .flat_map(|measure| &measure.harmonies)
        .map(|harmony| {
            let degrees = harmony.degrees.iter().filter(|degree| degree.printed);
            let degrees: String =
                degrees.map(|degree| format!(" {:+}@{}", degree.alter, degree.value)).collect();
            format!(
                "{}{}{degrees}",
                harmony.root.letter.char(),
                harmony.text.as_deref().unwrap_or("")
            )
        })
        .collect();
    assert_eq!(chords, ["Am7b5", "D7 -1@9", "Gm6"]);
}

#[test]
fn readers_get_lead_sheets_of_their_own_or_nobody_gets_any() {
    let notes = |readers: &str| {
        let desk = Desk::with_lesson(&lesson(readers));
        desk.does(&["render", "lesson.toml", "--quiet", "--only", "left hand"]);
        sheets(&desk)
    };
    assert_eq!(
        notes("[\"b-flat\", \"bass-clef\"]"),
        [
            "notes/chart-cadence_g-minor_b-flat.musicxml",
            "notes/chart-cadence_g-minor_bass-clef.musicxml",
        ]
    );
    assert_eq!(notes("[]"), Vec::<String>::new());
}

/// A picture beside every sheet, on the page for the hands' own, and the same at a second run.
#[test]
fn sheets_are_engraved_and_shown_on_the_page() {
    let desk = Desk::with_lesson(&lesson("[\"concert\"]"));
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let read = |path: &str| std::fs::read_to_string(desk.path("lesson").join(path)).unwrap();
    let pictures: Vec<String> =
        desk.files("lesson").into_iter().filter(|path| path.ends_with(".svg")).collect();
    assert_eq!(
        pictures,
        sheets(&desk).iter().map(|path| path.replace("musicxml", "svg")).collect::<Vec<_>>()
    );
    for path in &pictures {
        let text = read(path);
        let picture = roxmltree::Document::parse(&text).unwrap();
        let drawn = picture.descendants().filter(|node| node.attribute("class") == Some("note"));
        assert!(drawn.count() > 2, "{path}");
    }
    assert!(read("index.html").contains("\"sheet\":0"));
    let before = read(&pictures[0]);
    std::fs::remove_file(desk.path("lesson").join(&pictures[0])).unwrap();
    desk.does(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(read(&pictures[0]), before);
}

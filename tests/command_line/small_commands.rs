//! The commands beside `render`.

use crate::harness::{Desk, SMALL};

#[test]
fn quick_makes_tracks_with_no_lesson_file() {
    let desk = Desk::new();
    desk.does(&[
        "quick",
        "Am7b5 | D7b9 | Gm6 | %",
        "--tempos",
        "300,350",
        "--choruses",
        "1",
        "--quiet",
    ]);
    assert_eq!(
        desk.files("countoff-quick"),
        [
            "01-shells/01-shells_g-minor_300.mid",
            "01-shells/01-shells_g-minor_300.wav",
            "01-shells/01-shells_g-minor_350.mid",
            "01-shells/01-shells_g-minor_350.wav",
            "handout.pdf",
            "index.html",
            "manifest.json",
            "notes/01-shells_g-minor.musicxml",
            "notes/01-shells_g-minor.svg",
            "notes/chart-progression_g-minor.musicxml",
            "notes/chart-progression_g-minor.svg",
        ]
    );
}

#[test]
fn check_shows_the_chart_the_notes_and_the_hand() {
    let desk = Desk::with_lesson(SMALL);
    let said = desk.does(&["check", "lesson.toml", "--only", "1"]);
    assert_eq!(desk.files("."), ["lesson.toml"]);
    for expected in ["Am7b5", "D7b9", "Gm6", "C3", "L"] {
        assert!(said.stdout.contains(expected), "{expected} in:\n{}", said.stdout);
    }
}

#[test]
fn check_as_json_names_every_note() {
    let desk = Desk::with_lesson(SMALL);
    let said = desk.does(&["check", "lesson.toml", "--json", "--key", "Cm"]);
    let checked: serde_json::Value = serde_json::from_str(&said.stdout).unwrap();
    assert_eq!(checked["tracks"][0]["key"], "Cm");
    let first = &checked["tracks"][0]["bars"][0][0];
    assert_eq!(first["chord"], "Dm7b5");
    assert!(first["notes"][0].as_str().unwrap().starts_with('D'), "{first}");
}

#[test]
fn styles_are_listed_and_shown() {
    let desk = Desk::new();
    let list = desk.does(&["styles"]).stdout;
    for style in [
        "shells",
        "guide-tones",
        "walking",
        "walking-ghosts",
        "rootless",
        "two-feel",
        "ride",
        "brushes",
    ] {
        assert!(list.contains(style), "{style} in:\n{list}");
    }
    let one = desk.does(&["styles", "shells"]).stdout;
    assert!(one.contains("description = "), "{one}");
    let json = desk.does(&["styles", "--json"]).stdout;
    assert!(
        serde_json::from_str::<serde_json::Value>(&json).unwrap().as_array().unwrap().len() > 20
    );
}

#[test]
fn the_embedded_soundfont_says_what_it_holds() {
    let said = Desk::new().does(&["soundfonts"]).stdout;
    assert!(said.contains("CC0"), "{said}");
    assert!(said.contains("COUNTOFF_SOUNDFONT"), "{said}");
}

#[test]
fn start_writes_a_lesson_that_checks_and_never_replaces_one() {
    let desk = Desk::new();
    desk.does(&["start", "mine"]);
    desk.does(&["check", "mine/lesson.toml"]);
    desk.does(&["start", "full", "--all"]);
    desk.does(&["check", "full/lesson.toml"]);
    let said = desk.types(&["start", "mine"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("is there already"), "{}", said.stderr);
}

#[test]
fn plan_lists_the_files_and_makes_none() {
    let desk = Desk::with_lesson(SMALL);
    let said = desk.does(&["render", "lesson.toml", "--plan"]);
    assert!(
        said.stdout.contains("02-band/02-band_c-major_240_without-bass.wav"),
        "{}",
        said.stdout
    );
    assert!(said.stdout.contains("11 files"), "{}", said.stdout);
    let said = desk.does(&["render", "lesson.toml", "--plan", "--zip"]);
    assert!(said.stdout.contains("12 files"), "{}", said.stdout);
    assert!(said.stdout.contains("index.html") && said.stdout.contains("small.zip"));
    assert_eq!(desk.files("."), ["lesson.toml"]);
}

#[test]
fn every_kind_of_file_has_a_schema() {
    let desk = Desk::new();
    for (kind, key) in [
        ("lesson", "tempos"),
        ("comp", "shapes"),
        ("bass", "register"),
        ("drums", "kit"),
        ("manifest", "files"),
    ] {
        let said = desk.does(&["schema", kind]);
        let schema: serde_json::Value = serde_json::from_str(&said.stdout).unwrap();
        assert_eq!(schema["$schema"], "http://json-schema.org/draft-07/schema#");
        assert!(!schema["properties"][key]["description"].is_null(), "{kind}: {key}");
    }
}

#[test]
fn completions_for_common_shells() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = Desk::new().does(&["completions", shell]).stdout;
        assert!(script.contains("soundfonts"), "{shell}");
        // Names of styles and techniques: fish gets values of options alone, the last two none.
        let names: &[&str] = match shell {
            "bash" | "zsh" => &["rootless", "root-fifth", "brushes", "triad-pairs"],
            "fish" => &["rootless", "root-fifth", "brushes"],
            _ => &[],
        };
        for name in names {
            assert!(script.contains(name), "{shell}: {name}");
        }
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let desk = Desk::new();
    assert!(desk.does(&["man"]).stdout.contains("countoff\\-render(1)"));
    desk.does(&["man", "share/man1"]);
    let pages = desk.files("share/man1");
    for command in ["countoff", "countoff-render", "countoff-check", "countoff-man"] {
        assert!(pages.contains(&format!("{command}.1")), "{command}: {pages:?}");
    }
    let page = std::fs::read_to_string(desk.path("share/man1/countoff-render.1")).unwrap();
    assert!(page.contains("\\-\\-watch"), "{page}");
}

#[test]
fn help_names_every_command() {
    let help = Desk::new().does(&["--help"]).stdout;
    for command in
        ["render", "quick", "check", "styles", "soundfonts", "schema", "start", "completions"]
    {
        assert!(help.contains(command), "{command}");
    }
}

#[test]
fn a_lead_sheet_in_musicxml_becomes_a_chart() {
    let harmony = |step: &str, kind: &str| {
        format!(
            "<harmony><root><root-step>{step}</root-step></root><kind>{kind}</kind></harmony>\
             <note><rest/><duration>4</duration></note>"
        )
    };
    let measures: String = [("D", "minor-seventh"), ("G", "dominant"), ("C", "major-seventh")]
        .iter()
        .enumerate()
        .map(|(index, (step, kind))| {
            let attributes = if index == 0 {
                "<attributes><divisions>1</divisions><key><fifths>0</fifths></key>\
                 <time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
            } else {
                ""
            };
            format!(
                "<measure number=\"{}\">{attributes}{}</measure>",
                index + 1,
                harmony(step, kind)
            )
        })
        .collect();
    let sheet = format!(
        "<?xml version=\"1.0\"?><score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">\
         <part-name>Lead</part-name></score-part></part-list><part id=\"P1\">{measures}</part>\
         </score-partwise>"
    );
    let text = SMALL.replacen(
        "key = \"Gm\"\nA = \"| Am7b5 D7b9 | Gm6 |\"",
        "musicxml = \"tune.musicxml\"",
        1,
    );
    let desk = Desk::with_lesson(&text);
    desk.write("tune.musicxml", sheet);
    let said = desk.does(&["check", "lesson.toml", "--only", "1"]);
    assert!(said.stdout.contains("| Dm7 | G7 | Cmaj7 |"), "{}", said.stdout);
    desk.write("tune.musicxml", "no music at all");
    let said = desk.types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("tune.musicxml"), "{}", said.stderr);
}

//! Composed lines from the command line: exercise books, explanations, techniques.

use crate::harness::Desk;

const LESSON: &str = r#"
format = 1
title = "Exercises"
tempos = [100]
[[chart]]
name = "cadence"
key = "C"
A = "| Dm7 | G7 | Cmaj7 | % |"
[[line]]
name = "approaches"
chart = "cadence"
technique = { enclosures = 2, lower-neighbours = 1 }
count = 3
[[line]]
name = "own"
chart = "cadence"
abc = "DFAc BGFD | E8 | z8 | z8 |"
[[track]]
name = "book"
chart = "cadence"
line = "approaches"
comp = "guide-tones"
keys = ["C", "Ab"]
[[track]]
name = "after the book"
chart = "cadence"
line = "own"
"#;

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn an_exercise_book_gives_a_track_a_line_in_every_key() {
    let desk = Desk::with_lesson(LESSON);
    let said = desk.does(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(said.code, 0);
    let songs: Vec<String> =
        desk.files("lesson").into_iter().filter(|file| file.ends_with(".mid")).collect();
    assert_eq!(
        songs,
        [
            "01-book-01/01-book-01_a-flat-major_100.mid",
            "01-book-01/01-book-01_c-major_100.mid",
            "02-book-02/02-book-02_a-flat-major_100.mid",
            "02-book-02/02-book-02_c-major_100.mid",
            "03-book-03/03-book-03_a-flat-major_100.mid",
            "03-book-03/03-book-03_c-major_100.mid",
            "04-after-the-book/04-after-the-book_c-major_100.mid",
        ]
    );
    // Three different lines.
    let explained = json(&desk.does(&["explain", "lesson.toml", "approaches", "--json"]).stdout);
    let notes = |index: usize| explained[index]["notes"].clone();
    assert_eq!(explained.as_array().unwrap().len(), 3);
    assert!(notes(0) != notes(1) && notes(1) != notes(2) && notes(0) != notes(2));
}

#[test]
fn explanations_are_of_composed_and_of_written_lines() {
    let desk = Desk::with_lesson(LESSON);
    let said = desk.does(&["explain", "lesson.toml", "own"]);
    assert!(said.stdout.contains("own, over cadence in C, 4/4"), "{}", said.stdout);
    assert!(said.stdout.contains("Dm7       third (b3)"), "{}", said.stdout);
    let one = json(&desk.does(&["explain", "lesson.toml", "approaches 02", "--json"]).stdout);
    assert_eq!(one[0]["line"], "approaches 02");
    let techniques: Vec<&str> = one[0]["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|piece| piece["technique"].as_str().unwrap())
        .collect();
    assert!(techniques.iter().all(|name| ["enclosures", "lower-neighbours"].contains(name)));
    let every = one[0]["notes"].as_array().unwrap();
    assert!(every.iter().all(|note| note["roles"][0]["kind"].is_string()));
    let said = desk.types(&["explain", "lesson.toml", "aproaches"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("did you mean `approaches"), "{}", said.stderr);
}

#[test]
fn techniques_are_listed_by_grade_and_slips_are_mended() {
    let desk = Desk::with_lesson(&LESSON.replace("enclosures = 2", "enclosure = 2"));
    let said = desk.does(&["techniques"]);
    assert!(said.stdout.starts_with("grade 1\n  scale-runs"), "{}", said.stdout);
    let said = desk.types(&["techniques", "triad-pair"]);
    assert!(said.stderr.contains("did you mean `triad-pairs`"), "{}", said.stderr);
    let said = desk.types(&["check", "lesson.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("did you mean `enclosures`"), "{}", said.stderr);
}

#[test]
fn keys_of_composed_lines_are_checked() {
    for (right, wrong, message) in [
        ("count = 3", "count = 100", "100 is out of range"),
        ("count = 3", "bars = \"1-9\"", "names no bars of this chart"),
        ("count = 3", "abc = \"C8\"", "a composed line has no `abc`"),
        ("lower-neighbours = 1", "lower-neighbours = 0", "use above 0, up to 1000"),
        ("abc = \"DFAc", "displace = 1\nabc = \"DFAc", "`displace` belongs to composed lines"),
    ] {
        let desk = Desk::with_lesson(&LESSON.replace(right, wrong));
        let said = desk.types(&["check", "lesson.toml"]);
        assert_eq!(said.code, 2, "{wrong}");
        assert!(said.stderr.replace("\n", " ").contains(message), "{wrong}: {}", said.stderr);
    }
}

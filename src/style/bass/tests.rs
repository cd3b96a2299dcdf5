use super::*;
use crate::style::{StyleError, StyleFile};

/// A whole style; tests change one thing in it.
const PLAIN: &str = r#"
description = "Root and fifth"
level = "beginner"
velocity = 80
[register]
lowest = "E1"
highest = "G3"
centre = "C2"
[[bar]]
meter = "3/4"
hits = [{ at = "1", play = "root" }, { at = "2 3", play = "fifth", length = 0.5 }]
"#;

fn read(text: &str) -> Result<BassStyle, StyleError> {
    let file = StyleFile { name: "x".into(), origin: "my/x.toml".into(), text: text.to_owned() };
    BassStyle::read(&file)
}

fn error(from: &str, to: &str) -> StyleError {
    let text = PLAIN.replace(from, to);
    assert_ne!(text, PLAIN, "the test changes nothing");
    read(&text).unwrap_err()
}

#[test]
fn a_style_says_where_and_what() {
    let style = read(PLAIN).unwrap();
    assert_eq!((style.program, style.legato_percent, style.straight), (32, 100, false));
    let hits = &style.rhythms_in(Meter::ThreeFour)[0].hits;
    let roles: Vec<_> = hits.iter().map(|hit| (hit.at.0, hit.role, hit.length)).collect();
    let half = Some(Ticks(480));
    assert_eq!(
        roles,
        [(0, BassRole::Root, None), (960, BassRole::Fifth, half), (1920, BassRole::Fifth, half)]
    );
    assert_eq!(style.rhythms_in(Meter::FourFour)[0].hits.len(), 4, "1 2, twice");
}

#[test]
fn wrong_words_and_numbers_are_pointed_at() {
    for (from, to, underlined, says) in [
        ("play = \"root\"", "play = \"rot\"", "\"rot\"", "did you mean \"root\""),
        ("at = \"2 3\"", "at = \"2 4\"", "\"2 4\"", "count from 1 to 3"),
        ("at = \"2 3\"", "at = \"two\"", "\"two\"", "no place in a bar"),
        ("velocity = 80", "velocity = 200", "200", "use 1 to 127"),
        ("length = 0.5", "length = 0.3", "0.3", "0.25, 0.5"),
        ("\"3/4\"", "\"7/8\"", "\"7/8\"", "\"4/4\", \"3/4\""),
        ("\"E1\"", "\"H1\"", "\"H1\"", "no pitch"),
        ("play = \"root\"", "play = \"ghost\"", "\"ghost\"", "add `[ghost]`"),
        ("hits =", "hist =", "hist", "did you mean `hits`"),
    ] {
        let error = error(from, to);
        let text = format!("{error} {}", error.help.clone().unwrap_or_default());
        assert!(text.contains(says), "{text}");
        assert_eq!(error.underlined(), underlined, "{text}");
    }
}

#[test]
fn a_register_holds_an_octave_and_its_centre() {
    assert!(error("\"G3\"", "\"D2\"").help.unwrap().contains("an octave above"));
    assert!(error("\"C2\"", "\"C4\"").help.unwrap().contains("between"));
}

/// The example of the documentation is a style.
#[test]
fn the_documented_example_can_be_read() {
    let readme = include_str!("../../../styles/README.md");
    let (_, chapter) = readme.split_once("## Bass styles").unwrap();
    let example = chapter.split("```").nth(1).unwrap().trim_start_matches("toml");
    assert_eq!(read(example).unwrap().rhythms[0].hits.len(), 6);
}

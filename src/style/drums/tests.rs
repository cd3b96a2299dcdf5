use super::*;
use crate::style::{StyleError, StyleFile};

/// A whole style; tests change one thing in it.
const PLAIN: &str = r#"
description = "Ride and hat"
level = "beginner"
[[bar]]
hits = [
  { at = "1 2 3 4", play = "ride-cymbal-1", velocity = 80 },
  { at = "2 4", play = "pedal-hi-hat", velocity = 60, from = "medium" },
]
"#;

fn read(text: &str) -> Result<DrumStyle, StyleError> {
    let file = StyleFile { name: "x".into(), origin: "my/x.toml".into(), text: text.to_owned() };
    DrumStyle::read(&file)
}

fn error(from: &str, to: &str) -> StyleError {
    let text = PLAIN.replace(from, to);
    assert_ne!(text, PLAIN, "the test changes nothing");
    read(&text).unwrap_err()
}

#[test]
fn a_style_says_what_is_struck_and_when() {
    let style = read(PLAIN).unwrap();
    assert_eq!((style.kit, style.fill_every, style.cycle), (Kit::Sticks, 0, 1));
    let bars = style.bars_in(Meter::FourFour, DrumBarUse::Time);
    let hits: Vec<_> = bars[0].hits.iter().map(|hit| (hit.at.0, hit.percussion.key())).collect();
    assert_eq!(hits, [(0, 51), (960, 44), (960, 51), (1920, 51), (2880, 44), (2880, 51)]);
    assert!(style.bars_in(Meter::FourFour, DrumBarUse::Fill).is_empty());
}

#[test]
fn wrong_words_and_numbers_are_pointed_at() {
    for (from, to, underlined, says) in [
        ("pedal-hi-hat", "pedal-hihat", "\"pedal-hihat\"", "did you mean \"pedal-hi-hat\""),
        ("pedal-hi-hat", "brush-tap", "\"brush-tap\"", "kit = \"brushes\""),
        ("\"2 4\"", "\"2 5\"", "\"2 5\"", "count from 1 to 4"),
        ("= 60", "= 0", "0", "use 1 to 127"),
        ("\"medium\"", "\"loud\"", "\"loud\"", "use \"light\", \"medium\", \"full\""),
        ("[[bar]]", "[[bar]]\nturn = 2", "2", "cycle"),
        ("[[bar]]", "[[bar]]\nfor = \"fil\"", "\"fil\"", "did you mean \"fill\""),
    ] {
        let error = error(from, to);
        let text = format!("{error} {}", error.help.clone().unwrap_or_default());
        assert!(text.contains(says), "{text}");
        assert_eq!(error.underlined(), underlined, "{text}");
    }
    let only_fills = error("[[bar]]", "[[bar]]\nfor = \"fill\"");
    assert!(only_fills.to_string().contains("at least one bar that keeps time"));
}

/// Every built-in style plays only what the embedded kit has.
#[test]
fn built_in_styles_strike_what_the_embedded_kit_has() {
    let kit = [35, 36, 37, 38, 39, 40, 41, 42, 43, 44, 45, 46, 47, 48, 49, 50, 51, 53, 55, 57, 59];
    let library = crate::style::Library::built_in();
    for file in library.files(crate::style::Shelf::Drums) {
        let style = DrumStyle::read(file).unwrap();
        for hit in style.bars.iter().flat_map(|bar| &bar.hits) {
            assert!(kit.contains(&hit.percussion.key()), "{}: {}", file.name, hit.percussion);
        }
    }
}

/// The example of the documentation is a style.
#[test]
fn the_documented_example_can_be_read() {
    let readme = include_str!("../../../styles/README.md");
    let (_, chapter) = readme.split_once("## Drum styles").unwrap();
    let example = chapter.split("```").nth(1).unwrap().trim_start_matches("toml");
    assert_eq!(read(example).unwrap().bars.len(), 2);
}

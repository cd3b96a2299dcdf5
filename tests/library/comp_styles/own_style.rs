//! A user's own style: at once, or with a precise error.

use countoff::arrange::Ending;
use countoff::part::comp::{CompSettings, play, voice};
use countoff::part::{BandPlan, PlayContext};
use countoff::style::{CompStyle, Library, Shelf, StyleFile};
use countoff::units::Meter;

use super::charts::chart;
use super::{Played, three_choruses};

const README: &str = include_str!("../../../styles/README.md");

/// The example of `styles/README.md`.
fn example() -> StyleFile {
    let (_, from_start) = README.split_once("```toml\n").unwrap();
    let (text, _) = from_start.split_once("```").unwrap();
    StyleFile { name: "mine".into(), origin: "my/comp/mine.toml".into(), text: text.into() }
}

#[test]
fn the_example_of_the_readme_plays_as_it_says() {
    let mut library = Library::built_in();
    library.add(Shelf::Comp, example());
    let style = CompStyle::read(library.find(Shelf::Comp, "mine").unwrap()).unwrap();
    let timeline =
        three_choruses(&chart("C", Meter::FourFour, "| Dm7 | G7 | Cmaj7 | % |"), Ending::None);
    let voicings = voice(&timeline, &style, &CompSettings::default()).unwrap();
    assert_eq!(voicings.warnings, []);
    let notes =
        play(PlayContext::new(&timeline, &BandPlan::level(&timeline), 7), &style, &voicings).notes;
    let start = timeline.form_start();
    let times: Vec<i64> = notes.iter().map(|note| (note.at - start).0 % 3840).collect();
    assert!(times.iter().all(|at| [0, 1440].contains(at)), "{times:?}");
    assert_eq!(notes.len(), 3 * 4 * 2 * 3);
}

#[test]
fn a_style_of_the_users_hides_the_built_in_one() {
    let mut library = Library::built_in();
    let built_in = library.files(Shelf::Comp).count();
    library.add(Shelf::Comp, StyleFile { name: "shells".into(), ..example() });
    assert_eq!(library.files(Shelf::Comp).count(), built_in);
    let shells = library.find(Shelf::Comp, "shells").unwrap();
    assert_eq!(shells.origin, "my/comp/mine.toml");
    let original = Played::new("shells", &chart("C", Meter::FourFour, "| Dm7 |")).style;
    assert_ne!(CompStyle::read(shells).unwrap(), original);
}

#[test]
fn a_wrong_style_is_told_with_line_column_and_the_right_word() {
    let mut file = example();
    file.text = file.text.replace("velocity = 60", "velcity = 60");
    let error = CompStyle::read(&file).unwrap_err();
    assert_eq!(error.to_string(), "unknown key `velcity`");
    assert_eq!(error.underlined(), "velcity");
    assert_eq!(error.line_and_column(), (19, 31));
    assert!(error.help.unwrap().starts_with("did you mean `velocity`?"));
}

/// The readme says of each key of a comp style what it is: none may be forgotten.
#[test]
fn the_readme_explains_every_key() {
    let mut file = example();
    file.text = format!("nothing = 1\n{}", file.text);
    let help = CompStyle::read(&file).unwrap_err().help.unwrap();
    let (_, keys) = help.split_once("use ").unwrap();
    for key in keys.split(", ") {
        let key = key.trim();
        assert!(
            README.contains(&format!("`{key}`")) || README.contains(&format!("[{key}]")),
            "{key}"
        );
    }
}

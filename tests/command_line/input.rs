//! Bad input: a clear error that points at the place, the right exit code, nothing half-written,
//! no panic.

use crate::harness::{Desk, SMALL, Said};

/// Types `render` for a lesson that is wrong.
fn refused(text: &str) -> Said {
    let desk = Desk::with_lesson(text);
    let said = desk.types(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(said.code, 2, "{}\n{}", said.stdout, said.stderr);
    assert!(!said.stderr.contains("panicked"), "{}", said.stderr);
    assert_eq!(desk.files("lesson"), Vec::<String>::new());
    said
}

fn refused_with(from: &str, to: &str, expected: &str) {
    assert!(SMALL.contains(from));
    let said = refused(&SMALL.replacen(from, to, 1));
    assert!(said.stderr.contains(expected), "expected {expected:?} in:\n{}", said.stderr);
}

#[test]
fn a_wrong_word_is_told_with_file_line_and_column_and_the_nearest_right_word() {
    let said = refused(&SMALL.replace("\"walking\"", "\"wlaking\""));
    assert_eq!(
        said.stderr.lines().map(str::trim_end).collect::<Vec<_>>().join("\n"),
        "error: there is no bass style named `wlaking`
  --> lesson.toml:21:8
   |
20 | comp = \"rootless\"
21 | bass = \"wlaking\"
   |        ^^^^^^^^^
22 | drums = \"ride\"
   |
   = help: did you mean `walking`? bass styles are: bossa, root-fifth, two-feel, walking, walking-roots, waltz"
    );
}

#[test]
fn wrong_values_of_every_kind() {
    refused_with("key = \"Gm\"", "key = \"Hm\"", "not a key");
    refused_with("| Am7b5 D7b9", "| Am7b5 Dx9", "Dx9");
    refused_with("comp = \"shells\"", "comp = \"shels\"", "did you mean `shells`");
    refused_with("comp = \"shells\"", "piano = \"shells\"", "unknown key `piano`");
    refused_with("key = \"Gm\"", "key = \"Gm\"\nmeter = \"7/8\"", "7/8");
    refused_with("A = \"| Am7b5 D7b9 | Gm6 |\"", "A = \"\"", "there are no bars");
    refused_with("| Am7b5 D7b9 |", "| Am7b5 D7b9 Gm6 |", "do not share");
    refused_with("[240, 300]", "[0]", "use 20 to 400");
    refused_with("[240, 300]", "[10000]", "use 20 to 400");
    refused_with("[240, 300]", "\"fast\"", "tempos");
    refused_with("without = [\"bass\"]", "without = [\"bas\"]", "did you mean \"bass\"");
    refused_with("format = 1", "format = 9", "format 9");
    refused_with("title = \"Small\"", "title = \"Small", "lesson.toml:3");
}

#[test]
fn files_that_are_not_there_or_no_lesson() {
    let desk = Desk::new();
    desk.write("bytes.toml", [0xff, 0xfe, 0x00]);
    std::fs::create_dir(desk.path("folder")).unwrap();
    for (words, expected) in [
        (["render", "none.toml"], "there is no file none.toml"),
        (["render", "bytes.toml"], "not a text file"),
        (["render", "folder"], "is a folder"),
        (["check", "none.toml"], "there is no file none.toml"),
        (["render", "--lesson"], "unexpected argument"),
    ] {
        let said = desk.types(&words);
        assert_eq!(said.code, 2, "{words:?}");
        assert!(said.stderr.contains(expected), "{words:?}: {}", said.stderr);
    }
}

#[test]
fn soundfonts_that_are_none() {
    let desk = Desk::with_lesson(SMALL);
    let font = std::fs::read("soundfonts-free/countoff-trio.sf2").unwrap();
    let mut damaged = font.clone();
    let tables = damaged.len() - 40_000;
    damaged[tables..].iter_mut().step_by(7).for_each(|byte| *byte ^= 0xff);
    desk.write("text.sf2", "just words");
    desk.write("short.sf2", &font[..font.len() / 2]);
    desk.write("damaged.sf2", damaged);
    for file in ["text.sf2", "short.sf2", "damaged.sf2", "none.sf2"] {
        let said = desk.types(&["render", "lesson.toml", "--quiet", "--soundfont", file]);
        assert_eq!(said.code, 2, "{file}: {}", said.stderr);
        assert!(said.stderr.contains(file), "{file}: {}", said.stderr);
        assert!(!said.stderr.contains("panicked"), "{file}: {}", said.stderr);
        let wavs = desk.files("lesson").into_iter().filter(|file| file.ends_with(".wav"));
        assert_eq!(wavs.count(), 0, "{file}");
    }
}

#[test]
fn a_place_that_cannot_be_written_to() {
    let desk = Desk::with_lesson(SMALL);
    desk.write("file", "");
    for out in ["file", "file/inside"] {
        let said = desk.types(&["render", "lesson.toml", "--quiet", "--out", out]);
        assert_eq!(said.code, 1, "{}", said.stderr);
        assert!(said.stderr.contains("file is a file and no folder"), "{}", said.stderr);
    }
    desk.write("set/manifest.json", "{");
    let said = desk.types(&["render", "lesson.toml", "--quiet", "--out", "set"]);
    assert_eq!(said.code, 1, "{}", said.stderr);
    assert!(
        said.stderr.contains("is not a manifest that this version understands"),
        "{}",
        said.stderr
    );
}

#[test]
fn wrong_options() {
    let desk = Desk::with_lesson(SMALL);
    for (words, expected) in [
        (vec!["render", "lesson.toml", "--only", "bnad"], "did you mean `band`"),
        (vec!["render", "lesson.toml", "--tempos", "5"], "use 20 to 400"),
        (vec!["render", "lesson.toml", "--keys", "H"], "not a key"),
        (vec!["render", "lesson.toml", "--jobs", "0"], "--jobs"),
        (vec!["quick", "Dm7 | G7 | Xyz"], "Xyz"),
        (vec!["quick", "Dm7", "--comp", "shel"], "did you mean `shells`"),
        (vec!["styles", "shel"], "did you mean `shells`"),
    ] {
        let said = desk.types(&words);
        assert_eq!(said.code, 2, "{words:?}: {}", said.stderr);
        assert!(said.stderr.contains(expected), "{words:?}: {}", said.stderr);
    }
}

#[test]
fn a_style_of_ones_own_works_at_once_and_a_wrong_one_is_told() {
    let text = SMALL.replace("title =", "styles = \"mine\"\ntitle =");
    let desk = Desk::with_lesson(&text.replace("comp = \"shells\"", "comp = \"my-shells\""));
    let shells = std::fs::read_to_string("styles/comp/shells.toml").unwrap();
    desk.write("mine/comp/my-shells.toml", &shells);
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    desk.write("mine/comp/my-shells.toml", shells.replace("description", "decription"));
    let said = desk.types(&["render", "lesson.toml", "--quiet", "--only", "1"]);
    assert_eq!(said.code, 2, "{}", said.stderr);
    assert!(said.stderr.contains("mine/comp/my-shells.toml:"), "{}", said.stderr);
    assert!(said.stderr.contains("did you mean `description`"), "{}", said.stderr);
}

#[test]
fn the_command_line_comes_before_the_lesson_and_the_lesson_before_the_environment() {
    let desk = Desk::with_lesson(&SMALL.replace("title =", "soundfont = \"lesson.sf2\"\ntitle ="));
    let said = |words: &[&str]| {
        let mut command = desk.command(words);
        Said::from(command.env("COUNTOFF_SOUNDFONT", "variable.sf2").output().unwrap()).stderr
    };
    assert!(said(&["render", "lesson.toml", "--soundfont", "option.sf2"]).contains("option.sf2"));
    assert!(said(&["render", "lesson.toml"]).contains("lesson.sf2"));
    assert!(said(&["quick", "Dm7 | G7"]).contains("variable.sf2"));
}

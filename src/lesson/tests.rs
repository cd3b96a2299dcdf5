//! Whole lessons: what is read, and what is said of wrong ones.

use super::*;
use crate::arrange::Shape;

struct Nobody;

impl Neighbours for Nobody {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        Err(std::io::Error::new(std::io::ErrorKind::NotFound, format!("no {path} here")))
    }
}

fn read(text: &str) -> Result<Lesson, Problems> {
    Lesson::read("lesson.toml", text, &Nobody, &Library::built_in())
}

/// A lesson with these lines in its track.
pub(super) fn with_track(lines: &str) -> String {
    format!(
        "format = 1\ntitle = \"T\"\n[[chart]]\nname = \"c\"\nkey = \"Gm\"\nA = \"| Gm6 | D7 |\"\n\
         [[track]]\nname = \"t\"\nchart = \"c\"\ncomp = \"shells\"\n{lines}"
    )
}

/// What is underlined, what is said, and what help is given, for each problem of a text.
pub(super) fn problems(text: &str) -> Vec<(String, String, String)> {
    let problems = read(text).unwrap_err();
    let parts = |problem: &crate::problem::Problem| {
        (text[problem.span.clone()].to_owned(), problem.message.clone(), problem.help.clone())
    };
    problems.problems.iter().map(parts).collect()
}

fn only_problem(text: &str) -> (String, String, String) {
    let mut problems = problems(text);
    assert_eq!(problems.len(), 1, "{problems:?}");
    problems.remove(0)
}

#[test]
fn the_lessons_that_start_writes_are_whole() {
    for text in
        [include_str!("../cli/start/lesson.toml"), include_str!("../cli/start/lesson-all.toml")]
    {
        let lesson = read(text).unwrap_or_else(|problems| panic!("{problems}"));
        assert!(!lesson.tracks.is_empty());
    }
}

/// The full lesson with one of its commented examples in force: a single key, in place of the
/// same key above it, or a whole table.
fn with_example(full: &str, example: std::ops::Range<usize>) -> String {
    let first = full.lines().nth(example.start).unwrap_or_default();
    let key = first.trim_start_matches("# ").split(" = ").next().unwrap_or_default();
    let lines = full.lines().enumerate().map(|(at, line)| {
        let replaced = at < example.start && line.starts_with(&format!("{key} = "));
        match example.contains(&at) {
            true => line.trim_start_matches("# "),
            false if replaced => "",
            false => line,
        }
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_key_that_the_full_lesson_shows_is_one_that_can_be_written() {
    let full = include_str!("../cli/start/lesson-all.toml");
    let lines: Vec<&str> = full.lines().collect();
    let mut at = 0;
    while at < lines.len() {
        let is_table = lines[at].starts_with("# [[");
        let key = lines[at].strip_prefix("# ").and_then(|rest| rest.split_once(" = "));
        let is_key = key.is_some_and(|(key, _)| key.bytes().all(|byte| byte.is_ascii_lowercase()));
        let rest = lines[at..].iter();
        let end =
            at + if is_table { rest.take_while(|line| line.starts_with("# ")).count() } else { 1 };
        if (is_table || is_key)
            && let Err(problems) = read(&with_example(full, at..end))
        {
            // What an example refers to is not there.
            let said = problems.to_string();
            let expected = [
                "no tune.musicxml here",
                "no line.mid here",
                "no line.musicxml here",
                "no line named",
            ];
            assert!(expected.iter().any(|missing| said.contains(missing)), "{}: {said}", lines[at]);
            assert_eq!(problems.problems.len(), 1, "{said}");
        }
        at = end;
    }
}

#[test]
fn what_is_left_out_has_its_default() {
    let lesson = read(&with_track("")).unwrap();
    let tempos: Vec<f64> = lesson.tracks[0].tempos.iter().map(|bpm| bpm.get()).collect();
    assert_eq!(tempos, [60.0, 80.0, 108.0, 144.0]);
    assert_eq!(lesson.tracks[0].keys, [lesson.charts[0].key]);
    assert_eq!(lesson.tracks[0].shape, Shape::Straight);
    assert_eq!(lesson.tracks[0].mixes.len(), 1);
    assert!(lesson.tracks[0].mixes[0].count_in && !lesson.tracks[0].mixes[0].click);
}

#[test]
fn slower_tempos_count_in_per_cent() {
    let lesson = read(&with_track("tempos = { at = 144, slower = [75, 40] }")).unwrap();
    let tempos: Vec<f64> = lesson.tracks[0].tempos.iter().map(|bpm| bpm.get()).collect();
    assert_eq!(tempos, [57.6, 108.0, 144.0], "slowly first");
}

#[test]
fn a_list_of_comps_or_lines_gives_a_track_for_each() {
    let line =
        |name: &str, more: &str| format!("[[line]]\nname = \"{name}\"\nchart = \"c\"\n{more}\n");
    let lines = line("up", "abc = \"GABc d4 | d8 |\"")
        + &line("book", "technique = \"scale-runs\"\ncount = 2")
        + &line("mine", "hand = \"left\"\nabc = \"G,8 | F,8 |\"");
    let names = |track: &str| -> Result<Vec<String>, (String, String, String)> {
        let text = with_track(track).replacen("comp = \"shells\"\n", "", 1);
        let text = text.replacen("[[track]]", &format!("{lines}[[track]]"), 1);
        match read(&text) {
            Ok(lesson) => {
                let numbers = lesson.tracks.iter().map(|track| track.number);
                assert!(numbers.eq(1..=lesson.track_count()));
                Ok(lesson.tracks.into_iter().map(|track| track.name).collect())
            }
            Err(_) => Err(only_problem(&text)),
        }
    };
    let opened = names("line = [\"up\", \"book\"]\ncomp = [\"shells\", \"mine\"]").unwrap();
    let right = [
        "t, up, shells",
        "t, up, mine",
        "t, book, shells 01",
        "t, book, shells 02",
        "t, book, mine 01",
        "t, book, mine 02",
    ];
    assert_eq!(opened, right);
    assert_eq!(names("comp = [\"shells\"]").unwrap(), ["t"], "one is one");

    for (track, underlined, message, help) in [
        ("comp = [\"shells\", \"shels\"]", "\"shels\"", "no comp style", "`shells`"),
        ("comp = [\"shells\", \"shells\"]", "\"shells\"", "is there twice", "leave one out"),
        ("line = [\"up\", \"upp\"]", "\"upp\"", "no line named", "`up`"),
        (
            "line = \"book\"\n[[track]]\nname = \"t 02\"\nchart = \"c\"\ncomp = \"shells\"",
            "\"t 02\"",
            "a second track named `t 02`",
            "of its own",
        ),
    ] {
        let problem = names(track).unwrap_err();
        assert!(problem.0 == underlined && problem.1.contains(message), "{problem:?}");
        assert!(problem.2.contains(help), "{problem:?}");
    }
}

#[test]
fn all_twelve_keys_by_fourths_and_by_semitones() {
    for word in ["fourths", "semitones"] {
        let lesson = read(&with_track(&format!("keys = \"{word}\""))).unwrap();
        assert_eq!(lesson.tracks[0].keys.len(), 12);
        assert_eq!(lesson.tracks[0].keys[0].to_string(), "Gm");
    }
}

#[test]
fn a_shape_that_owns_an_axis_does_not_multiply_by_it() {
    let ladder = "practice = { shape = \"ladder\", from = 60, to = 80 }";
    assert_eq!(read(&with_track(ladder)).unwrap().tracks[0].tempos.len(), 1);
    let round = "practice = { shape = \"round the keys\" }\nkeys = \"fourths\"";
    assert_eq!(read(&with_track(round)).unwrap().tracks[0].keys.len(), 1);
}

#[test]
fn mixes_are_named_by_what_is_missing_or_by_the_little_that_is_left() {
    let text = with_track(
        "bass = \"walking\"\ndrums = \"ride\"\nmixes = [{}, { without = [\"bass\"] }, \
         { only = [\"drums\"] }, { without = [\"comp\"], click = true }, { count-in = false }, \
         { only = [], click = true }, { balance = { part = \"bass\" } }]\nstems = true",
    );
    let lesson = read(&text).unwrap();
    let labels: Vec<&str> = lesson.tracks[0].mixes.iter().map(|mix| mix.label.as_str()).collect();
    assert_eq!(
        labels,
        [
            "",
            "without bass",
            "drums only",
            "without comp with click",
            "no count-in",
            "click only",
            "bass left",
            "stem comp",
            "stem bass",
            "stem drums"
        ]
    );
}

#[test]
fn a_wrong_key_is_underlined_and_the_nearest_suggested() {
    let (underlined, message, help) = only_problem(&with_track("chorusses = 4"));
    assert_eq!(underlined, "chorusses");
    assert_eq!(message, "unknown key `chorusses`");
    assert!(help.starts_with("did you mean `choruses`?"), "{help}");
}

#[test]
fn a_wrong_key_of_a_chart_is_no_section() {
    let text = with_track("").replace("key = \"Gm\"", "key = \"Gm\"\nmetre = \"3/4\"");
    let (underlined, message, help) = only_problem(&text);
    assert_eq!((underlined.as_str(), message.as_str()), ("metre", "unknown key `metre`"));
    assert_eq!(help, "did you mean `meter`?");
}

#[test]
fn a_wrong_chord_is_underlined_alone() {
    let text = with_track("").replace("D7 |", "D7x |");
    let (underlined, _, _) = only_problem(&text);
    assert!("D7x".contains(&underlined) && !underlined.is_empty(), "{underlined}");
}

#[test]
fn everything_wrong_is_told_at_once() {
    let text = with_track("choruses = 0\nending = \"hold\"\nbass = \"wlaking\"\ntempos = [10000]");
    let underlined: Vec<String> = problems(&text).into_iter().map(|(text, _, _)| text).collect();
    assert_eq!(underlined, ["0", "\"hold\"", "\"wlaking\"", "10000"]);
}

#[test]
fn numbers_out_of_range_are_told_with_their_range() {
    for (line, range) in [
        ("reach = 40", "use 7 to 19"),
        ("tempos = [0]", "use 20 to 400"),
        ("choruses = 100000", "use 1 to 999"),
        ("practice = { shape = \"answer\", bars = 0 }", "use 1 to 64"),
    ] {
        assert_eq!(only_problem(&with_track(line)).2, range, "{line}");
    }
}

#[test]
fn a_key_of_another_shape_is_not_passed_over_in_silence() {
    let (underlined, message, _) =
        only_problem(&with_track("practice = { shape = \"loop\", step = 3 }"));
    assert_eq!(underlined, "3");
    assert_eq!(message, "`step` belongs to another shape, \"ladder\"");
}

#[test]
fn a_missing_lead_sheet_and_a_missing_chart_are_told() {
    let text = with_track("").replace("A = \"| Gm6 | D7 |\"", "musicxml = \"none.musicxml\"");
    assert_eq!(only_problem(&text).0, "\"none.musicxml\"");
    let text = with_track("").replace("chart = \"c\"", "chart = \"d\"");
    assert_eq!(only_problem(&text).1, "there is no chart named `d`");
}

/// What a lead sheet says is not said again, and what only it can say not without it.
#[test]
fn a_chart_has_one_source() {
    let bars = "A = \"| Gm6 | D7 |\"";
    let told = |chart: &str| only_problem(&with_track("").replace(bars, chart));
    let (underlined, message, _) = told(&format!("{bars}\ncoda = \"last chorus\""));
    assert_eq!(underlined, "\"last chorus\"");
    assert_eq!(message, "`coda` belongs to charts from MusicXML");
    for key in ["meter = \"3/4\"", "within.A = { feel = \"straight\" }", bars] {
        let text = format!("musicxml = \"none.musicxml\"\n{key}");
        let problems = read(&with_track("").replace(bars, &text)).unwrap_err().to_string();
        assert!(problems.contains("comes from the MusicXML file"), "{problems}");
    }
}

/// The chart is in G minor.
#[test]
fn a_list_of_keys_counts_by_tonics_and_says_so() {
    let keys = |list: &str| {
        let lesson = read(&with_track(&format!("keys = {list}"))).unwrap();
        let keys: Vec<String> = lesson.tracks[0].keys.iter().map(ToString::to_string).collect();
        (keys.join(" "), lesson.warnings)
    };
    assert_eq!(keys("[\"Gm\", \"Cm\"]"), ("Gm Cm".to_owned(), vec![]));
    let told = "c keeps its mode: asked for in C, Db, it is in Cm, C#m".to_owned();
    assert_eq!(keys("[\"C\", \"Gm\", \"Db\"]"), ("Cm Gm C#m".to_owned(), vec![told]));
    assert_eq!(keys("[\"C\", \"Cm\"]").0, "Cm");
}

#[test]
fn nonsense_is_an_error_and_never_a_panic() {
    let whole = with_track("practice = { shape = \"ladder\", from = 60, to = 80 }");
    for cut in (0..whole.len()).filter(|cut| whole.is_char_boundary(*cut)) {
        let _ = read(&whole[..cut]);
        let _ = read(&format!("{}\u{1f3b9}{}", &whole[..cut], &whole[cut..]));
    }
    assert!(read("").is_err());
    assert!(read("format = 2\ntitle = \"T\"").unwrap_err().to_string().contains("format 2"));
}

#[test]
fn a_lesson_with_thousands_of_mistakes_is_refused_in_few_words() {
    let unknown: String = (0..16_000).map(|number| format!("key{number} = {number}\n")).collect();
    let wrong: String = (0..16_000).map(|_| "[[track]]\nname = 3\n").collect();
    for text in [unknown + &with_track(""), with_track("") + "\n" + &wrong] {
        let problems = read(&text).unwrap_err();
        let words: usize =
            problems.problems.iter().map(|one| one.message.len() + one.help.len()).sum();
        assert!(problems.problems.len() <= crate::problem::ProblemList::MOST);
        assert!(problems.problems.len() + problems.more > 0 && words < 20_000, "{words}");
    }
    let unknown: String = (0..16_000).map(|number| format!("key{number} = {number}\n")).collect();
    let problems = read(&(unknown + &with_track(""))).unwrap_err();
    assert_eq!(problems.problems.len() + problems.more, 16_000);
}

#[test]
fn what_a_lesson_may_hold_has_limits_that_are_told() {
    let tempos: Vec<String> = (0..100_000).map(|tempo| format!("{}", 20 + tempo % 380)).collect();
    let (_, message, help) = only_problem(&with_track(&format!("tempos = [{}]", tempos.join(","))));
    assert_eq!(message, "the list `tempos` has 100000 entries");
    assert_eq!(help, "use 99 or fewer");

    let tracks: String = (0..1000)
        .map(|number| format!("[[track]]\nname = \"{number}\"\nchart = \"c\"\ncomp = \"shells\"\n"))
        .collect();
    let (_, message, help) = only_problem(&format!("{}\n{tracks}", with_track("")));
    assert_eq!(
        (message.as_str(), help.as_str()),
        ("the list `track` has 1001 entries", "use 999 or fewer")
    );

    let books: String = (0..11)
        .map(|book| {
            format!(
                "[[line]]\nname = \"{book}\"\nchart = \"c\"\ntechnique = \"blues\"\ncount = 99\n"
            )
        })
        .collect();
    let (_, message, _) =
        only_problem(&with_track("").replacen("[[track]]", &(books + "[[track]]"), 1));
    assert_eq!(message, "the lesson has more than 999 lines");

    let book =
        "[[line]]\nname = \"b\"\nchart = \"c\"\ntechnique = \"blues\"\ncount = 99\n[[track]]";
    let tracks: String = (0..11)
        .map(|number| format!("[[track]]\nname = \"{number}\"\nchart = \"c\"\nline = \"b\"\n"))
        .collect();
    let text = with_track("").replacen("[[track]]", book, 1) + "\n" + &tracks;
    assert_eq!(only_problem(&text).1, "the lesson has more than 999 tracks");

    let long = with_track(&format!("# {}", "x".repeat(Lesson::MOST_BYTES)));
    assert!(read(&long).unwrap_err().to_string().contains("larger than 1048576 bytes"));
}

#[test]
fn a_list_is_no_table() {
    let text = with_track("").replacen("title", "click = []\ncount-in = [1]\ntitle", 1);
    let messages: Vec<String> = problems(&text).into_iter().map(|problem| problem.1).collect();
    assert_eq!(messages, ["`click` cannot be a list", "`count-in` cannot be a list"]);
}

#[test]
fn names_with_control_characters_are_refused_with_their_place() {
    for (line, place) in [
        ("title = \"a\\u001b]0;x\\u0007\"", "title = \"T\""),
        ("name = \"c\\u0000\"", "name = \"c\""),
        ("name = \"t\\n\"", "name = \"t\""),
    ] {
        let text = with_track("").replacen(place, line, 1);
        let problems = problems(&text);
        let (underlined, message, help) = &problems[0];
        assert_eq!(Some(underlined.as_str()), line.split(" = ").nth(1));
        assert!(message.contains("control character") && help == "write it without", "{message}");
    }
}

#[test]
fn every_mistake_of_a_types_own_is_told_at_once() {
    let text = with_track("keys = [\"H\"]").replacen("key = \"Gm\"", "key = \"G#\"", 1);
    let text = text.replacen("title", "teacher = \"a\\tb\"\nyear = 0\ntitle", 1);
    let underlined: Vec<String> = problems(&text).into_iter().map(|problem| problem.0).collect();
    assert_eq!(underlined, ["\"a\\tb\"", "0", "\"G#\"", "\"H\""]);
}

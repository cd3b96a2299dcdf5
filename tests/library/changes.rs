//! Players that change on their way through a tune.

use countoff::arrange::{BarKind, TimelineBar};
use countoff::chart::FeelName;
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::performance::{Part, PerformedNote};
use countoff::plan::{Plan, TakeNotes};
use countoff::style::Library;
use countoff::units::Ticks;

const LESSON: &str = r#"
format = 1
title = "An evening in three choruses"
tempos = [120]
[[chart]]
name = "tune"
key = "F"
form = "A B"
A = "| Fmaj7 | Dm7 | Gm7 | C7 |"
B = "| Am7 | D7 | Gm7 | C7 |"
outro = "| Fmaj7 | Gm7 C7 | F6 |"
[[track]]
name = "band"
chart = "tune"
comp = "rootless"
bass = "two-feel"
drums = "brushes"
choruses = 3
"#;

/// The notes of the one take of the lesson with these changes.
fn notes(changes: &str) -> TakeNotes {
    let library = Library::built_in();
    let text = format!("{LESSON}change = [{changes}]\n");
    let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library);
    let lesson = lesson.unwrap_or_else(|problems| panic!("{problems}"));
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    plan.takes[0].notes.clone()
}

/// What is wrong with a change.
fn told(change: &str) -> String {
    let text = format!("{LESSON}change = [{change}]\n");
    Lesson::read("lesson.toml", &text, &NoNeighbours, &Library::built_in()).unwrap_err().to_string()
}

fn in_bar<'a>(notes: &'a TakeNotes, part: Part, bar: &TimelineBar) -> Vec<&'a PerformedNote> {
    let slack = Ticks(100);
    let of_part = notes.performance.parts.iter().filter(|playing| playing.part == part);
    let all = of_part.flat_map(|part| &part.notes);
    all.filter(|note| note.on >= bar.start - slack && note.on < bar.end() - slack).collect()
}

/// From a passage on, a style is heard as a track that has it from the start plays it.
#[test]
fn a_change_is_heard_from_its_passage_on_and_nothing_before_it_moves() {
    let (plain, walking) = (notes(""), notes(r#"{ in = "chorus 1", intensity = "medium" }"#));
    assert_eq!(plain.performance, walking.performance, "a change to what is there already");
    let changed = notes(r#"{ from = "chorus 2", bass = "walking", drums = "ride" }"#);
    let mut quarters = 0;
    for (bar, same) in changed.timeline.bars.iter().zip(&plain.timeline.bars) {
        let bass = in_bar(&changed, Part::Bass, bar);
        if bar.chorus == 0 {
            assert_eq!(bass, in_bar(&plain, Part::Bass, same), "{bar:?}");
            assert_eq!(in_bar(&changed, Part::Drums, bar), in_bar(&plain, Part::Drums, same));
        } else if bar.kind == BarKind::Chorus {
            quarters += usize::from(bass.len() >= 4);
        }
    }
    assert!(quarters > 12, "{quarters} of 16 bars walk");
    // Brushes and sticks are two kits.
    let kits = changed.performance.parts.iter().filter(|part| part.part == Part::Drums);
    assert_eq!(kits.map(|part| part.instrument.program).collect::<Vec<_>>(), [40, 0]);
}

#[test]
fn who_rests_is_silent_in_its_bars_and_nowhere_else() {
    let rest = r#"{ in = "chorus 2", rest = ["comp"] }, { in = "B", rest = ["drums"] }"#;
    let notes = notes(rest);
    for bar in notes.timeline.bars.iter().filter(|bar| bar.kind.is_played()) {
        let comp = in_bar(&notes, Part::Comp, bar);
        let of_chorus_2 = bar.chorus == 1 && bar.kind == BarKind::Chorus;
        assert!(!of_chorus_2 || comp.is_empty(), "{bar:?}");
        let bridge = bar.kind == BarKind::Chorus && bar.form_bar >= 4;
        assert_eq!(in_bar(&notes, Part::Drums, bar).is_empty(), bridge, "{bar:?}");
    }
    let comp = |chorus: u32| {
        let bars = notes.timeline.bars.iter().filter(|bar| bar.chorus == chorus);
        bars.map(|bar| in_bar(&notes, Part::Comp, bar).len()).sum::<usize>()
    };
    assert!(comp(0) > 8 && comp(2) > 8);
}

/// The head first and last, another line between: each in its own choruses, with its pickup, and each
/// with a sheet.
#[test]
fn choruses_carry_lines_of_their_own() {
    let library = Library::built_in();
    let text = r#"
        format = 1
        title = "Head, solo, head"
        tempos = [120]
        [[chart]]
        name = "tune"
        key = "F"
        A = "| Fmaj7 | Dm7 | Gm7 | C7 |"
        [[line]]
        name = "head"
        chart = "tune"
        abc = "c2 | F8 | F8 | G8 | c6 z2 |"
        [[line]]
        name = "solo"
        chart = "tune"
        abc = "g4 | a8 | a8 | b8 | z8 |"
        [[track]]
        name = "band"
        chart = "tune"
        line = "head"
        comp = "shells"
        choruses = 3
        change = [{ in = "chorus 2", line = "solo" }]
    "#;
    let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library);
    let lesson = lesson.unwrap_or_else(|problems| panic!("{problems}"));
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    let line = plan.takes[0].notes.hands.iter().find(|part| part.part == Part::Line).unwrap();
    // From the first chorus's first bar line, in quarters.
    let start = plan.takes[0].notes.timeline.form_start();
    let played: Vec<(i64, u8)> =
        line.notes.iter().map(|note| ((note.at - start).0 / 960, note.pitch)).collect();
    let head = |at: i64| [(at - 1, 72), (at, 65), (at + 4, 65), (at + 8, 67), (at + 12, 72)];
    let solo = |at: i64| [(at - 2, 79), (at, 81), (at + 4, 81), (at + 8, 82)];
    let mut wanted = [head(0).as_slice(), &solo(16), &head(32)].concat();
    wanted.sort_unstable();
    assert_eq!(played, wanted);
    for name in ["line-head", "line-solo"] {
        let sheet = plan.notes.iter().find(|sheet| sheet.path.contains(name)).unwrap();
        let score = sheet.score(&lesson, &plan.takes).unwrap();
        assert_eq!(score.parts[0].measures.len(), 5, "{name}");
    }
}

/// A bossa in the bridge is even there, and what is around it swings.
#[test]
fn a_style_in_even_eighths_is_even_in_its_own_bars() {
    let notes = notes(r#"{ in = "B", drums = "bossa", bass = "bossa" }"#);
    for bar in &notes.timeline.bars {
        let bridge = bar.kind == BarKind::Chorus && bar.form_bar >= 4;
        assert_eq!(bar.feel == FeelName::Straight, bridge, "{bar:?}");
    }
}

#[test]
fn a_change_that_cannot_be_is_told_with_its_reason() {
    for (change, reason) in [
        (r#"{ from = "chorus 4", bass = "walking" }"#, "there is no chorus 4"),
        (r#"{ in = "C", bass = "walking" }"#, "no section `C` is played"),
        (r#"{ from = "chorus 2" }"#, "nothing changes here"),
        (r#"{ bass = "walking" }"#, "either `from` or `in`"),
        (r#"{ from = "A", in = "B", bass = "walking" }"#, "either `from` or `in`"),
        (r#"{ in = "B", bass = "wlaking" }"#, "no bass style named `wlaking`"),
        (r#"{ in = "B", bass = "walking", rest = ["bass"] }"#, "the bass plays and rests here"),
        (r#"{ in = "B", rest = ["line"] }"#, "`line` does not play here"),
        (r#"{ in = "chorus two", bass = "walking" }"#, "names no passage"),
        (r#"{ in = "B", line = "solo" }"#, "there is no line named `solo`"),
        (
            r#"{ in = "B", bass = "walking" }, { in = "B", rest = ["bass"] }"#,
            "this is changed there already",
        ),
    ] {
        let told = told(change);
        assert!(told.contains(reason), "{change}: {told}");
    }
}

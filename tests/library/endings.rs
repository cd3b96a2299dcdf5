//! Intros and endings by name, and trading: what defines each.

use countoff::arrange::{BarKind, TimelineBar};
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::performance::Part;
use countoff::plan::{Plan, TakeNotes};
use countoff::style::Library;
use countoff::units::Ticks;

fn notes(key: &str, meter: &str, track: &str) -> TakeNotes {
    let library = Library::built_in();
    let minor = key.ends_with('m');
    let form = if minor {
        "| i6 | % | iiø7 | V7b9 | i6 | vi7b5 | iiø7 | V7b9 |"
    } else {
        "| I6 | vi7 | iim7 | V7 | iiim7 | VI7 | iim7 | V7 |"
    };
    let text = format!(
        r#"
        format = 1
        title = "Ways in and out"
        tempos = [120]
        [[chart]]
        name = "tune"
        key = "{key}"
        meter = "{meter}"
        A = "{form}"
        [[line]]
        name = "head"
        chart = "tune"
        technique = "scale-runs"
        [[track]]
        name = "band"
        chart = "tune"
        line = "head"
        comp = "shells"
        bass = "walking"
        drums = "ride"
        {track}
        "#
    );
    let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library);
    let lesson = lesson.unwrap_or_else(|problems| panic!("{problems}"));
    Plan::of(&lesson, &library, |_| true).unwrap().takes[0].notes.clone()
}

fn chords(bar: &TimelineBar) -> String {
    let symbols = bar.slots.iter().map(|slot| {
        slot.harmony.as_ref().map_or("N.C.".to_owned(), |harmony| harmony.symbol.to_string())
    });
    symbols.collect::<Vec<_>>().join(" ")
}

fn of_kind(notes: &TakeNotes, kind: BarKind) -> Vec<&TimelineBar> {
    notes.timeline.bars.iter().filter(|bar| bar.kind == kind).collect()
}

/// How many notes of a part begin in a bar.
fn struck(notes: &TakeNotes, part: Part, bar: &TimelineBar) -> usize {
    let slack = Ticks(100);
    let parts = notes.performance.parts.iter().filter(|playing| playing.part == part);
    let all = parts.flat_map(|part| &part.notes);
    all.filter(|note| note.on >= bar.start - slack && note.on < bar.end() - slack).count()
}

#[test]
fn an_intro_by_name_is_four_bars_that_lead_to_the_first() {
    for (intro, key, meter, wanted) in [
        ("turnaround", "F", "4/4", "F6 D7 | Gm7 C7 | F6 D7 | Gm7 C7"),
        ("turnaround", "F", "3/4", "F6 | D7 | Gm7 | C7"),
        ("turnaround", "Gm", "4/4", "Gm6 Em7b5 | Am7b5 D7b9 | Gm6 Em7b5 | Am7b5 D7b9"),
        ("last four", "F", "4/4", "Am7 | D7 | Gm7 | C7"),
        ("dominant pedal", "F", "4/4", "C7sus4 | C7 | C7sus4 | C7"),
        ("dominant pedal", "Gm", "4/4", "D7sus4 | D7b9 | D7sus4 | D7b9"),
    ] {
        let notes = notes(key, meter, &format!("intro = \"{intro}\""));
        let bars = of_kind(&notes, BarKind::Intro);
        let found = bars.iter().map(|bar| chords(bar)).collect::<Vec<_>>().join(" | ");
        assert_eq!(found, wanted, "{intro} in {key}, {meter}");
        for bar in &bars {
            assert!(struck(&notes, Part::Bass, bar) > 0 && struck(&notes, Part::Drums, bar) > 0);
        }
        // Only a pickup may sound before the first chorus.
        assert!(bars[..3].iter().all(|bar| struck(&notes, Part::Line, bar) == 0));
    }
}

#[test]
fn drums_alone_are_alone() {
    let notes = notes("F", "4/4", "intro = \"drums\"");
    let bars = of_kind(&notes, BarKind::Intro);
    assert_eq!(bars.len(), 4);
    for bar in bars {
        assert!(struck(&notes, Part::Drums, bar) > 3, "{bar:?}");
        assert_eq!(struck(&notes, Part::Bass, bar) + struck(&notes, Part::Comp, bar), 0);
    }
}

#[test]
fn a_tag_plays_the_last_phrase_three_times() {
    let notes = notes("F", "4/4", "choruses = 2\nending = \"tag\"");
    let last: Vec<&TimelineBar> =
        of_kind(&notes, BarKind::Chorus).into_iter().filter(|bar| bar.chorus == 1).collect();
    let places: Vec<u32> = last.iter().map(|bar| bar.form_bar).collect();
    assert_eq!(places, [0, 1, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7, 4, 5, 6, 7]);
    let line = |from: usize| -> Vec<usize> {
        last[from..from + 4].iter().map(|bar| struck(&notes, Part::Line, bar)).collect()
    };
    assert_eq!(line(4), line(8), "the line has its phrase again");
    assert_eq!(chords(of_kind(&notes, BarKind::Ending)[0]), "F6");
}

#[test]
fn a_ritardando_slows_the_last_two_bars_and_nothing_before() {
    let notes = notes("F", "4/4", "ending = \"ritardando\"");
    let bars = of_kind(&notes, BarKind::Chorus);
    let tempo = |at: Ticks| notes.timeline.tempo.at(at).quarters_per_minute();
    assert!((tempo(bars[5].end() - Ticks(1)) - 120.0).abs() < 0.01);
    let slowing: Vec<f64> =
        (0..8).map(|beat| tempo(bars[6].start + Ticks::QUARTER * beat)).collect();
    assert!(slowing.windows(2).all(|pair| pair[1] < pair[0]), "{slowing:?}");
    let end = of_kind(&notes, BarKind::Ending)[0];
    assert!((tempo(end.start) - 84.0).abs() < 0.01, "{}", tempo(end.start));
}

#[test]
fn trading_gives_every_second_turn_to_the_drums_over_all_choruses() {
    let practice = "practice = { shape = \"trading\", bars = 2 }\nchoruses = 2";
    let notes = notes("F", "4/4", practice);
    for (index, bar) in of_kind(&notes, BarKind::Chorus).into_iter().enumerate() {
        let others = index / 2 % 2 == 1;
        assert_eq!(bar.drums_alone, others);
        assert_eq!(struck(&notes, Part::Bass, bar) == 0, others, "{bar:?}");
        assert!(struck(&notes, Part::Drums, bar) > 0);
        assert!(!others || struck(&notes, Part::Line, bar) == 0);
    }
}

#[test]
fn trading_with_the_line_leaves_the_student_every_second_turn() {
    let notes = notes("F", "4/4", "practice = { shape = \"trading\", bars = 4, with = \"line\" }");
    let bars = notes.timeline.bars.iter().filter(|bar| bar.kind.passage() == BarKind::Chorus);
    for (index, bar) in bars.enumerate() {
        assert_eq!(bar.kind == BarKind::Answer, index >= 4);
        assert!(struck(&notes, Part::Bass, bar) > 0);
        assert!(index < 4 || struck(&notes, Part::Line, bar) == 0, "{bar:?}");
    }
}

#[test]
fn nobody_trades_with_drums_that_are_not_there() {
    let text = r#"
        format = 1
        title = "Alone"
        tempos = [120]
        [[chart]]
        name = "tune"
        key = "F"
        A = "| F6 | C7 |"
        [[track]]
        name = "left hand"
        chart = "tune"
        comp = "shells"
        practice = { shape = "trading" }
    "#;
    let told = Lesson::read("lesson.toml", text, &NoNeighbours, &Library::built_in()).unwrap_err();
    assert!(told.to_string().contains("nobody plays the drums to trade with"), "{told}");
}

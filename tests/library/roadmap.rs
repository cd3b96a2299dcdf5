//! A tune with intro, interlude, a last chorus of its own and an outro, with other keys, meters and
//! tempos inside: what is heard and written of it.

use std::collections::BTreeSet;

use countoff::arrange::BarKind;
use countoff::codec::smf;
use countoff::deliver::song;
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::performance::Part;
use countoff::plan::Plan;
use countoff::style::Library;
use countoff::units::Ticks;
use midly::{MetaMessage, Smf, TrackEventKind};

const LESSON: &str = r#"
format = 1
title = "The long way to the hall"
tempos = [120]
[[chart]]
name = "tune"
key = "Eb"
form = "A B A"
last = "A B A tag"
intro = "| Fm7 | Bb7 |"
A = "| Ebmaj7 | Bb7 |"
B = "| Am7 D7 / | Gmaj7 |"
interlude = "| Bb7sus4 |"
tag = "| Gm7 C7 |"
outro = "| Abm6 | Ebmaj7 |"
within = { B = { key = "G", meter = "3/4", feel = "straight" }, outro = { tempo = "100% to 50%" } }
[[line]]
name = "head"
chart = "tune"
abc = """
L:1/4
G | G B e B | d B d B | [M:3/4] e d c | B3 | [M:4/4] G B e B | d2 z2 |
"""
[[track]]
name = "band"
chart = "tune"
line = "head"
comp = "rootless"
bass = "walking"
drums = "ride"
choruses = 2
"#;

fn planned() -> (Lesson, Plan) {
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", LESSON, &NoNeighbours, &library);
    let lesson = lesson.unwrap_or_else(|problems| panic!("{problems}"));
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    (lesson, plan)
}

/// The line has its notes over the bars of the form, wherever the form is; everybody else plays in
/// every bar.
#[test]
fn the_line_rests_in_bars_that_are_not_of_the_form() {
    let (_, plan) = planned();
    let notes = &plan.takes[0].notes;
    let part = |wanted: Part| {
        let parts = &notes.performance.parts;
        &parts.iter().find(|part| part.part == wanted).unwrap().notes
    };
    let sounding = |wanted: Part, from: Ticks, to: Ticks| {
        // What is played a little early or late belongs to its bar all the same.
        let slack = Ticks(120);
        part(wanted).iter().filter(|note| note.on >= from - slack && note.on < to - slack).count()
    };
    let mut heard: BTreeSet<(BarKind, u32)> = BTreeSet::new();
    for bar in notes.timeline.bars.iter().filter(|bar| bar.kind.is_played()) {
        let line = sounding(Part::Line, bar.start, bar.end());
        let of_form = bar.kind == BarKind::Chorus && bar.form_bar < 6;
        // The pickup is in the bar before a chorus.
        let leads_in = matches!(bar.kind, BarKind::Intro | BarKind::Interlude);
        assert_eq!(line > 0, of_form || (leads_in && line == 1), "{bar:?}");
        assert!(sounding(Part::Bass, bar.start, bar.end()) > 0, "no bass in {bar:?}");
        if line > 0 {
            heard.insert((bar.kind, bar.form_bar));
        }
    }
    let form = (0..6).map(|bar| (BarKind::Chorus, bar));
    let pickups = [(BarKind::Intro, 1), (BarKind::Interlude, 0)];
    assert_eq!(heard, form.chain(pickups).collect());
}

/// Read by midly: every key, meter, tempo and section at the tick of its bar.
#[test]
fn a_midi_file_has_every_change_in_its_place() {
    let (_, plan) = planned();
    let notes = &plan.takes[0].notes;
    let bytes = smf::write(&song("tune", &notes.timeline, &notes.performance)).unwrap();
    let file = Smf::parse(&bytes).unwrap();
    let mut at = 0_i64;
    let (mut keys, mut meters, mut markers, mut tempos) = (vec![], vec![], vec![], 0);
    for event in &file.tracks[0] {
        at += i64::from(event.delta.as_int());
        match event.kind {
            TrackEventKind::Meta(MetaMessage::KeySignature(fifths, minor)) => {
                keys.push((at, fifths, minor));
            }
            TrackEventKind::Meta(MetaMessage::TimeSignature(above, below, ..)) => {
                meters.push((at, above, 1_u32 << below));
            }
            TrackEventKind::Meta(MetaMessage::Marker(text)) => {
                markers.push((at, String::from_utf8_lossy(text).into_owned()));
            }
            TrackEventKind::Meta(MetaMessage::Tempo(_)) => tempos += 1,
            _ => {}
        }
    }
    // In bars of 3,840 ticks: two counted, the intro 2, the first A 2, then B of two waltz bars.
    let (bar, waltz) = (3_840, 2_880);
    let first_b = 6 * bar;
    let second_b = first_b + 2 * waltz + 2 * bar + bar + 2 * bar;
    let end_of_second = second_b + 2 * waltz;
    let flats = |at| (at, -3, false);
    let sharp = |at| (at, 1, false);
    let expected = [flats(0), sharp(first_b), flats(first_b + 2 * waltz), sharp(second_b)];
    assert_eq!(keys[..4], expected);
    assert_eq!(keys[4..], [flats(end_of_second)]);
    let times: Vec<_> = meters.iter().map(|(at, above, below)| (*at, (*above, *below))).collect();
    assert_eq!(
        times,
        [
            (0, (4, 4)),
            (first_b, (3, 4)),
            (first_b + 2 * waltz, (4, 4)),
            (second_b, (3, 4)),
            (end_of_second, (4, 4)),
        ]
    );
    let outro = end_of_second + 3 * bar;
    for marker in [(2 * bar, "Intro"), (4 * bar, "Chorus 1"), (outro, "Outro")] {
        let marker = (marker.0, marker.1.to_owned());
        assert!(markers.contains(&marker), "{marker:?} is not among {markers:?}");
    }
    // One at the start, and one for every count of the outro's two bars.
    assert_eq!(tempos, 9);
}

/// A chart with its roadmap is read again from its own text.
#[test]
fn the_sheet_has_every_passage_once() {
    let (lesson, plan) = planned();
    let sheet = plan.notes.iter().find(|sheet| sheet.path.contains("chart-tune")).unwrap();
    let score = sheet.score(&lesson, &plan.takes).unwrap();
    // Intro 2, chorus 6, interlude 1, the last chorus 7, outro 2.
    assert_eq!(score.parts[0].measures.len(), 18);
}

/// A short bar: all players fill it, and the next one begins where it ends.
#[test]
fn a_bar_of_two_quarters_stands_among_common_ones() {
    let library = Library::built_in();
    let text = LESSON.replace("\"3/4\"", "\"2/4\"").replace("| Am7 D7 / | Gmaj7 |", "| Am7 D7 |");
    let head = text.find("[[line]]").unwrap()..text.find("[[track]]").unwrap();
    let text = text.replace(&text[head], "").replace("line = \"head\"\n", "");
    let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library);
    let lesson = lesson.unwrap_or_else(|problems| panic!("{problems}"));
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    let notes = &plan.takes[0].notes;
    let mut short = 0;
    for pair in notes.timeline.bars.windows(2) {
        assert_eq!(pair[0].end(), pair[1].start);
        if pair[0].end() - pair[0].start == Ticks(1920) {
            short += 1;
            let is_inside = |at: Ticks| at >= pair[0].start - Ticks(120) && at < pair[0].end();
            for wanted in [Part::Bass, Part::Drums] {
                let parts = &notes.performance.parts;
                let part = parts.iter().find(|part| part.part == wanted).unwrap();
                assert!(part.notes.iter().any(|note| is_inside(note.on)), "{wanted:?} rests");
            }
        }
    }
    assert_eq!(short, 2);
}

/// A line that is longer than the form has its last bars for those that only the last chorus has.
#[test]
fn a_longer_line_goes_on_into_the_tag() {
    let library = Library::built_in();
    let text = r#"
        format = 1
        title = "One more time"
        tempos = [120]
        [[chart]]
        name = "tune"
        key = "C"
        form = "A"
        last = "A tag"
        A = "| C6 | G7 |"
        tag = "| C6 | G7 |"
        [[line]]
        name = "head"
        chart = "tune"
        abc = "c8 | d8 | e8 | f8 |"
        [[track]]
        name = "line"
        chart = "tune"
        line = "head"
        choruses = 2
    "#;
    let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library).unwrap();
    assert!(lesson.warnings.is_empty(), "{:?}", lesson.warnings);
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    let line = &plan.takes[0].notes.hands[0];
    let played: Vec<u8> = line.notes.iter().map(|note| note.pitch).collect();
    assert_eq!(played, [72, 74, 72, 74, 76, 77]);
}

//! Hits of the whole band, stops and breaks.

use countoff::arrange::TimelineBar;
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::part::comp::{CompSettings, play, voice};
use countoff::part::{BandPlan, PlayContext};
use countoff::part::{Note, PartNotes, bass, drums};
use countoff::plan::{Plan, Players, TakeNotes};
use countoff::style::{Library, Shelf};
use countoff::units::Ticks;

const LESSON: &str = r#"
format = 1
title = "Everybody at once"
tempos = [132]
[[chart]]
name = "tune"
key = "C"
form = "A B"
A = "| Cmaj7 | A7 | Dm7 | G7 |"
B = "| Cmaj7 | A7 | Dm7 | G7 |"
within = { B = { hits = "| 1 2& | 4&_> | 1 stop | stop |" } }
[[track]]
name = "band"
chart = "tune"
comp = "COMP"
bass = "BASS"
drums = "DRUMS"
choruses = 2
"#;

/// What comp, bass and drums play on the grid.
fn band(comp: &str, bass_style: &str, drum_style: &str) -> (TakeNotes, [PartNotes; 3]) {
    let library = Library::built_in();
    let text =
        LESSON.replace("COMP", comp).replace("BASS", bass_style).replace("DRUMS", drum_style);
    let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library).unwrap();
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    let players = Players::of(&lesson, &lesson.tracks[0], &library).unwrap();
    let notes = plan.takes[0].notes.clone();
    let plan = BandPlan::level(&notes.timeline);
    let context = PlayContext::new(&notes.timeline, &plan, lesson.seed.0);
    let style = players.comp.unwrap();
    let voicings = voice(&notes.timeline, &style, &CompSettings::default()).unwrap();
    let parts = [
        play(context, &style, &voicings),
        bass::play(context, &players.bass.unwrap()),
        drums::play(context, &players.drums.unwrap(), players.intensity),
    ];
    (notes, parts)
}

/// When notes begin in a bar, in eighths from its start.
fn starts(part: &PartNotes, bar: &TimelineBar) -> Vec<i64> {
    let inside = part.notes.iter().filter(|note| note.at >= bar.start && note.at < bar.end());
    let mut starts: Vec<i64> = inside.map(|note| (note.at - bar.start).0 / 480).collect();
    starts.dedup();
    starts
}

#[test]
fn comp_and_bass_play_the_hits_and_nothing_else_in_every_style() {
    let library = Library::built_in();
    for style in library.files(Shelf::Comp) {
        let comp = style.name.as_str();
        let (take, parts) = band(comp, "walking", "ride");
        let bars = &take.timeline.bars;
        for bar in bars.iter().filter(|bar| bar.hits.is_some()) {
            let wanted: &[i64] = match bar.form_bar {
                4 => &[0, 3],
                5 => &[7],
                6 => &[0],
                _ => &[],
            };
            for part in &parts[..2] {
                assert_eq!(starts(part, bar), wanted, "{comp}, {:?} in {bar:?}", part.part);
            }
        }
    }
}

#[test]
fn an_early_hit_takes_the_coming_chord() {
    let (take, [comp, bass, _]) = band("shells", "walking", "ride");
    let bar = take.timeline.bars.iter().find(|bar| bar.form_bar == 5).unwrap();
    let on_four_and = |part: &PartNotes| -> Vec<u8> {
        let inside = part.notes.iter().filter(|note| note.at == bar.start + Ticks(7 * 480));
        inside.map(|note| note.pitch % 12).collect()
    };
    // Dm7 from its root.
    assert_eq!(on_four_and(&bass), [2]);
    assert!(on_four_and(&comp).contains(&5), "{:?}", on_four_and(&comp));
}

#[test]
fn nothing_rings_into_a_break_and_the_drummer_marks_every_hit() {
    let (take, parts) = band("rootless", "walking", "ride");
    let breaks = take.timeline.bars.iter().filter(|bar| bar.form_bar == 7);
    for bar in breaks {
        for part in &parts[..2] {
            let rings = |note: &&Note| note.at < bar.end() && note.at + note.length > bar.start;
            assert_eq!(part.notes.iter().filter(rings).count(), 0, "{:?}", part.part);
        }
        assert!(starts(&parts[2], bar).is_empty());
    }
    let kick = |at: Ticks| parts[2].notes.iter().any(|note| note.at == at && note.pitch == 36);
    for bar in take.timeline.bars.iter() {
        for hit in bar.hits.iter().flat_map(|hits| &hits.hits) {
            assert!(kick(bar.start + hit.at), "{bar:?}");
        }
    }
}

#[test]
fn hits_that_cannot_be_are_told_with_their_place() {
    let library = Library::built_in();
    let told = |hits: &str| {
        let text = LESSON.replace("| 1 2& | 4&_> | 1 stop | stop |", hits);
        let text =
            text.replace("COMP", "shells").replace("BASS", "walking").replace("DRUMS", "ride");
        Lesson::read("lesson.toml", &text, &NoNeighbours, &library).unwrap_err().to_string()
    };
    for (hits, reason) in [
        ("| 5 |", "`5` is no count of a bar of 4/4"),
        ("| 2& 1 |", "a hit stands behind a later one"),
        ("| 1 | 1 | 1 | 1 | 1 |", "there are hits for 5 bars, and the section has 4"),
        ("| . 1 |", "stand alone in their bar"),
        ("| bang |", "`bang` is no count"),
    ] {
        assert!(told(hits).contains(reason), "{hits}: {}", told(hits));
    }
}

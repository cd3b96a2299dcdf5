//! Any style, technique, meter and key: every sheet is whole, holds what is heard, and is read back
//! as it was written.

use std::collections::BTreeMap;

use countoff::codec::musicxml::score::{Head, Item, Score, ScoreNote};
use countoff::codec::musicxml::{HarmonyElement, WrittenPitch, read, write};
use countoff::lesson::Lesson;
use countoff::melody::Technique;
use countoff::performance::Part;
use countoff::plan::{NotesKind, NotesPlan, Plan};
use countoff::style::{Library, Shelf};
use countoff::theory::{Key, Mode};
use countoff::units::{Meter, Ticks};
use proptest::prelude::*;

use super::planned;

/// Everything that a chord symbol may be in four bars.
const CHORDS: [&str; 14] = [
    "ii", "V7", "i6", "Imaj7", "vi7", "IV7", "iiø7", "V7b9", "V7alt", "bIImaj7", "#ivdim7",
    "V7sus4", "I6/9", "V13b9",
];

fn styles() -> Vec<String> {
    let library = Library::built_in();
    library.files(Shelf::Comp).map(|file| file.name.clone()).collect()
}

/// A lesson with one track: a comp style, and perhaps a composed line over it.
fn lessons() -> impl Strategy<Value = String> {
    let mode = prop_oneof![Just(Mode::Major), Just(Mode::Minor)];
    let chords = prop::collection::vec(prop::collection::vec(0..CHORDS.len(), 1..=2), 2..=4);
    let technique = prop::option::of(prop::sample::select(Technique::ALL.to_vec()));
    let meter = prop::sample::select(Meter::ALL.to_vec());
    let style = prop::sample::select(styles());
    (meter, style, technique, mode, 0_u8..12, chords, 0_u64..50).prop_map(
        |(meter, style, technique, mode, tonic, bars, seed)| {
            let key = Key::usual(tonic, mode);
            let bar = |chords: &Vec<usize>| {
                // Two chords cannot share five beats evenly.
                let count = if meter == Meter::FourFour { chords.len() } else { 1 };
                chords.iter().take(count).map(|chord| CHORDS[*chord]).collect::<Vec<_>>().join(" ")
            };
            let bars = bars.iter().map(bar).collect::<Vec<_>>().join(" | ");
            let line = technique.map_or_else(String::new, |technique| {
                format!(
                    "[[line]]\nname = \"line\"\nchart = \"chart\"\ntechnique = \"{}\"\n",
                    technique.name()
                )
            });
            let plays = if technique.is_some() { "line = \"line\"\n" } else { "" };
            format!(
                "format = 1\ntitle = \"Any\"\ntempos = [120]\nseed = {seed}\n[[chart]]\nname = \
                 \"chart\"\nkey = \"{key}\"\nmeter = \"{meter}\"\nA = \"| {bars} |\"\n{line}\
                 [[track]]\nname = \"track\"\nchart = \"chart\"\ncomp = \"{style}\"\n{plays}\
                 choruses = 1\n[files]\nnotes = [\"concert\", \"b-flat\", \"bass-clef\"]\n"
            )
        },
    )
}

fn midi(written: WrittenPitch) -> i16 {
    let step = written.step;
    i16::from(step.letter.semitones())
        + i16::from(step.alter)
        + 12 * (i16::from(written.octave) + 1)
}

fn notes(items: &[Item]) -> impl Iterator<Item = &ScoreNote> {
    items.iter().filter_map(|item| match item {
        Item::Note(note) => Some(note),
        _ => None,
    })
}

fn pitch(note: &ScoreNote) -> Option<WrittenPitch> {
    match note.head {
        Head::Pitch(pitch) | Head::Ghost(pitch) => Some(pitch),
        Head::Slash | Head::Rest | Head::MeasureRest => None,
    }
}

/// Every voice of every bar lasts as long as the bar, and a value as printed as long as it sounds.
fn bars_are_full(score: &Score, bar: Ticks) {
    for part in &score.parts {
        for measure in part.measures.iter().filter(|measure| !measure.implicit) {
            let mut voices: BTreeMap<u8, i64> = BTreeMap::new();
            for note in notes(&measure.items).filter(|note| !note.in_chord) {
                *voices.entry(note.voice).or_default() += note.duration.0;
            }
            assert!(voices.values().all(|length| *length == bar.0), "{measure:?}");
            for note in notes(&measure.items) {
                let Some(value) = note.value else { continue };
                let plain = value.ticks().0;
                let dotted: i64 = (0..=u32::from(note.dots)).map(|dot| plain >> dot).sum();
                let printed = if note.triplet.is_some() { dotted * 2 / 3 } else { dotted };
                assert_eq!(printed, note.duration.0, "{note:?}");
            }
        }
    }
}

/// How often each key is struck on paper, and by the hands in the performance.
fn as_heard(score: &Score, lesson: &Lesson, plan: &Plan, sheet: &NotesPlan) {
    let NotesKind::Hands { take, .. } = sheet.kind else { return };
    let mut written: BTreeMap<i16, usize> = BTreeMap::new();
    for measure in score.parts.iter().flat_map(|part| &part.measures) {
        for note in notes(&measure.items).filter(|note| !note.tie_stop) {
            if let Some(pitch) = pitch(note) {
                *written.entry(midi(pitch)).or_default() += 1;
            }
        }
    }
    let mut heard: BTreeMap<i16, usize> = BTreeMap::new();
    for part in &plan.takes[take].notes.performance.parts {
        if matches!(part.part, Part::Line | Part::Comp) {
            for note in &part.notes {
                *heard.entry(i16::from(note.pitch)).or_default() += 1;
            }
        }
    }
    assert_eq!(written, heard, "{}", lesson.title);
}

/// A note of the first part as it was written, or as it is read: time, length, pitch, voice, ties.
type Read = (i64, i64, Option<WrittenPitch>, u8, bool, bool);

/// Our own reader, which knows nothing of scores, finds the first part's notes and chords.
fn is_read_back(score: &Score) {
    let sheet = read(&write(score).unwrap()).unwrap();
    let Some(part) = score.parts.first() else { return };
    assert_eq!(sheet.measures.len(), part.measures.len());
    for (read, written) in sheet.measures.iter().zip(&part.measures) {
        let (mut at, mut begin) = (0, 0);
        let mut expected: Vec<Read> = Vec::new();
        for item in &written.items {
            match item {
                Item::Backup(back) => at -= back.0,
                Item::Note(note) => {
                    if !note.in_chord {
                        begin = at;
                        at += note.duration.0;
                    }
                    let ties = (note.tie_start, note.tie_stop);
                    let length = note.duration.0;
                    // A slash is no note to anyone who reads a melody.
                    if note.head != Head::Slash {
                        expected.push((begin, length, pitch(note), note.voice, ties.0, ties.1));
                    }
                }
                _ => {}
            }
        }
        let found = read.notes.iter().map(|note| {
            (note.at.0, note.length.0, note.pitch, note.voice, note.tie_start, note.tie_stop)
        });
        assert_eq!(found.collect::<Vec<Read>>(), expected);
        let chords = written.items.iter().filter_map(|item| match item {
            Item::Harmony(harmony) => Some(HarmonyElement {
                text: harmony.text.clone().filter(|text| !text.is_empty()),
                ..harmony.clone()
            }),
            _ => None,
        });
        assert_eq!(read.harmonies, chords.collect::<Vec<_>>());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn sheets_are_whole_hold_what_is_heard_and_are_read_back(text in lessons()) {
        let (lesson, plan) = planned(&text).unwrap();
        let bar = lesson.charts().next().unwrap().1.meter.bar();
        prop_assert!(!plan.notes.is_empty());
        for sheet in &plan.notes {
            let score = sheet.score(&lesson, &plan.takes).unwrap();
            bars_are_full(&score, bar);
            as_heard(&score, &lesson, &plan, sheet);
            is_read_back(&score);
        }
    }
}

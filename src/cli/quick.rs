//! `countoff quick`: a lesson made of what was typed.

use std::path::PathBuf;

use toml::{Table, Value};

use super::args::Quick;
use super::changes::Changes;
use super::failure::Failure;
use super::interrupt::Interrupt;
use super::job::{Job, Set};
use super::making::Maker;
use super::request::Settings;
use super::sounds;
use crate::chart::{ChartSource, FeelName, FormSource};
use crate::lesson::{Lesson, NoNeighbours};
use crate::render::Work;
use crate::style::Library;
use crate::theory::{ChordSymbol, Key, Mode, Quality};
use crate::units::Meter;

/// The folder for the files, unless the command line says otherwise.
const FOLDER: &str = "countoff-quick";

/// Makes tracks from a chord progression.
pub(super) fn run(typed: Quick, interrupt: &Interrupt) -> Result<(), Failure> {
    let settings = Settings::of(&typed.making)?;
    let job = job(typed)?;
    Maker::open(&settings, false)?.make(&job, interrupt)
}

fn job(typed: Quick) -> Result<Job, Failure> {
    let changes = Changes::of_keys(typed.keys.as_deref(), &typed.making)?;
    let text = lesson_text(&typed);
    let library = Library::built_in();
    let mut lesson = Lesson::read("what was typed, as a lesson", &text, &NoNeighbours, &library)?;
    changes.apply(&mut lesson);
    let set = Set {
        lesson,
        library,
        tracks: vec![0],
        prune: false,
        folder: typed.making.out.unwrap_or_else(|| PathBuf::from(FOLDER)),
        name: None,
        sounds: sounds::choose(typed.making.soundfont.as_deref(), None),
    };
    Ok(Job { sets: vec![set], course: None, work: Work::All })
}

/// The lesson that says what was typed. Writing it out gives its errors their places, and shows
/// how a lesson says the same.
fn lesson_text(typed: &Quick) -> String {
    let key = typed.key.clone().unwrap_or_else(|| key_of(&typed.chords).to_string());
    let text = |text: &str| Value::String(text.to_owned());
    let mut chart = Table::new();
    chart.insert("name".into(), text("progression"));
    chart.insert("key".into(), text(&key));
    chart.insert("meter".into(), text(&typed.meter));
    let ratio = typed.feel.parse::<f64>().map(Value::Float);
    chart.insert("feel".into(), ratio.unwrap_or_else(|_| text(&typed.feel)));
    chart.insert("A".into(), text(typed.chords.trim()));

    let mut track = Table::new();
    track.insert("name".into(), text(&track_name(typed)));
    track.insert("chart".into(), text("progression"));
    let nobody = typed.comp.is_none() && typed.bass.is_none() && typed.drums.is_none();
    let comp = typed.comp.as_deref().or(nobody.then_some("shells"));
    let players =
        [("comp", comp), ("bass", typed.bass.as_deref()), ("drums", typed.drums.as_deref())];
    for (part, style) in players.into_iter().filter_map(|(part, style)| Some((part, style?))) {
        track.insert(part.into(), text(style));
    }
    track.insert("choruses".into(), Value::Integer(typed.choruses.into()));
    let mut mix = Table::new();
    if typed.click {
        mix.insert("click".into(), Value::Boolean(true));
    }
    track.insert("mixes".into(), Value::Array(vec![Value::Table(mix)]));

    let mut lesson = Table::new();
    lesson.insert("format".into(), Value::Integer(1));
    lesson.insert("title".into(), text("Quick tracks"));
    lesson.insert("seed".into(), Value::Integer(typed.seed.into()));
    let tempos = typed.tempos.iter().map(|bpm| Value::Float(*bpm)).collect();
    lesson.insert("tempos".into(), Value::Array(tempos));
    lesson.insert("chart".into(), Value::Array(vec![Value::Table(chart)]));
    lesson.insert("track".into(), Value::Array(vec![Value::Table(track)]));
    lesson.to_string()
}

/// Named after the players, as a student would: `shells`, `rootless, walking, ride`.
fn track_name(typed: &Quick) -> String {
    let styles = [&typed.comp, &typed.bass, &typed.drums];
    let names: Vec<&str> = styles.into_iter().flatten().map(String::as_str).collect();
    if names.is_empty() { "shells".to_owned() } else { names.join(", ") }
}

/// The key that a progression suggests: the one that holds most of its tones, where a chord at
/// rest on the tonic counts for three tones more, and the first and the last root for one each (our
/// choice; `--key` says it for certain).
fn key_of(chords: &str) -> Key {
    let any = Key::usual(0, Mode::Major);
    let source = ChartSource {
        name: "progression",
        key: any,
        meter: Meter::FourFour,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", chords)],
    };
    let bars = source.parse().map(|chart| chart.bars).unwrap_or_default();
    let slots = bars.iter().flat_map(|bar| &bar.slots);
    let chords: Vec<&ChordSymbol> = slots.filter_map(|slot| slot.chord.as_ref()).collect();
    let candidates = [Mode::Major, Mode::Minor].into_iter().flat_map(Key::circle_of_fourths);
    // Of equal ones the last is taken, so major comes last.
    let candidates: Vec<Key> = candidates.collect();
    candidates.into_iter().rev().max_by_key(|key| likeness(*key, &chords)).unwrap_or(any)
}

/// How well a key suits some chords.
fn likeness(key: Key, chords: &[&ChordSymbol]) -> usize {
    let tonic = key.tonic.pitch_class();
    let on_tonic = |chord: &ChordSymbol| chord.root.pitch_class() == tonic;
    let at_rest = |chord: &ChordSymbol| {
        let minor = chord.degree(3).is_some_and(|third| third.alter < 0);
        if !on_tonic(chord) || minor != (key.mode == Mode::Minor) {
            return 0;
        }
        match chord.quality() {
            Quality::HalfDiminished => 0,
            // The I7 of a blues.
            Quality::Dominant => 2,
            _ => 3,
        }
    };
    let of_chord = |chord: &&ChordSymbol| {
        let tones = chord.pitch_classes();
        tones.into_iter().filter(|tone| key.contains(*tone)).count() + at_rest(chord)
    };
    let ends =
        [chords.first(), chords.last()].into_iter().flatten().filter(|chord| on_tonic(chord));
    chords.iter().map(of_chord).sum::<usize>() + ends.count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_follows_from_the_chords() {
        for (chords, key) in [
            ("Am7b5 | D7b9 | Gm6 | %", "Gm"),
            ("Dm7 | G7 | Cmaj7 | A7", "C"),
            ("Fmaj7 D7 | Gm7 C7", "F"),
            ("F7 | Bb7 | F7 | Cm7 F7 | Bb7 | % | F7 | D7 | Gm7 | C7 | F7 | C7", "F"),
            ("Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm6 | Gm6", "Gm"),
            ("no chords", "C"),
        ] {
            assert_eq!(key_of(chords).to_string(), key, "{chords}");
        }
    }
}

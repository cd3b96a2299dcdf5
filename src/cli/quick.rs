//! `countoff quick`: a lesson made of what was typed.

use std::path::PathBuf;

use toml::{Table, Value};

use super::args::Quick;
use super::making::{self, Order};
use super::{Failure, overrides};
use crate::chart::{ChartSource, FeelName};
use crate::lesson::{Lesson, Neighbours};
use crate::style::Library;
use crate::theory::{Key, Mode};
use crate::units::Meter;

/// The folder for the files, unless the command line says otherwise.
const FOLDER: &str = "countoff-quick";

/// Makes tracks from a chord progression.
pub(super) fn run(options: &Quick) -> Result<(), Failure> {
    let key = match &options.key {
        Some(key) => key.clone(),
        None => key_of(&options.chords).to_string(),
    };
    let text = lesson_text(options, &key);
    let library = Library::built_in();
    let mut lesson = Lesson::read("what was typed, as a lesson", &text, &Nothing, &library)?;
    overrides::keys(&mut lesson, options.keys.as_deref())?;
    let order = Order {
        lesson,
        library,
        only: vec![0],
        prune: false,
        folder: PathBuf::from(FOLDER),
        beside: PathBuf::new(),
    };
    making::make(order, &options.making)
}

/// The lesson that says what was typed. Writing it out gives its errors their places, and shows
/// how a lesson says the same.
fn lesson_text(options: &Quick, key: &str) -> String {
    let text = |text: &str| Value::String(text.to_owned());
    let mut chart = Table::new();
    chart.insert("name".into(), text("progression"));
    chart.insert("key".into(), text(key));
    chart.insert("meter".into(), text(&options.meter));
    let ratio = options.feel.parse::<f64>().map(Value::Float);
    chart.insert("feel".into(), ratio.unwrap_or_else(|_| text(&options.feel)));
    chart.insert("A".into(), text(options.chords.trim()));

    let mut track = Table::new();
    track.insert("name".into(), text(&track_name(options)));
    track.insert("chart".into(), text("progression"));
    let nobody = options.comp.is_none() && options.bass.is_none() && options.drums.is_none();
    let comp = options.comp.as_deref().or(nobody.then_some("shells"));
    let players =
        [("comp", comp), ("bass", options.bass.as_deref()), ("drums", options.drums.as_deref())];
    for (part, style) in players.into_iter().filter_map(|(part, style)| Some((part, style?))) {
        track.insert(part.into(), text(style));
    }
    track.insert("choruses".into(), Value::Integer(options.choruses.into()));
    let mut mix = Table::new();
    if options.click {
        mix.insert("click".into(), Value::Boolean(true));
    }
    track.insert("mixes".into(), Value::Array(vec![Value::Table(mix)]));

    let mut lesson = Table::new();
    lesson.insert("format".into(), Value::Integer(1));
    lesson.insert("title".into(), text("Quick tracks"));
    lesson.insert("seed".into(), Value::Integer(options.seed.into()));
    let tempos = options.tempos.iter().map(|bpm| Value::Float(*bpm)).collect();
    lesson.insert("tempos".into(), Value::Array(tempos));
    lesson.insert("chart".into(), Value::Array(vec![Value::Table(chart)]));
    lesson.insert("track".into(), Value::Array(vec![Value::Table(track)]));
    lesson.to_string()
}

/// Named after the players, as a student would: `shells`, `rootless, walking, ride`.
fn track_name(options: &Quick) -> String {
    let styles = [&options.comp, &options.bass, &options.drums];
    let names: Vec<&str> = styles.into_iter().flatten().map(String::as_str).collect();
    if names.is_empty() { "shells".to_owned() } else { names.join(", ") }
}

/// The key that the last chord of a progression suggests: minor where its third is.
fn key_of(chords: &str) -> Key {
    let any = Key::usual(0, Mode::Major);
    let source = ChartSource {
        name: "progression",
        key: any,
        meter: Meter::FourFour,
        feel: FeelName::Swing,
        form: None,
        sections: &[("A", chords)],
    };
    let bars = source.parse().map(|chart| chart.bars).unwrap_or_default();
    let last =
        bars.iter().flat_map(|bar| &bar.slots).filter_map(|slot| slot.chord.as_ref()).next_back();
    let Some(last) = last else { return any };
    let mode =
        if last.degree(3).is_some_and(|third| third.alter < 0) { Mode::Minor } else { Mode::Major };
    let key = Key { tonic: last.root, mode };
    if key.signature().abs() <= 7 {
        return key;
    }
    Key::usual(last.root.pitch_class(), mode)
}

/// Nothing lies beside a lesson that is no file.
struct Nothing;

impl Neighbours for Nothing {
    fn read(&self, _: &str) -> std::io::Result<Vec<u8>> {
        Err(std::io::Error::from(std::io::ErrorKind::NotFound))
    }
}

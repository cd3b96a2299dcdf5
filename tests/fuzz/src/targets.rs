//! The readers, and what must hold of whatever they read.

use std::io::Cursor;
use std::path::Path;

use countoff::chart::{ChartSource, CodaIn, FeelName, FormSource, LeadSheetSource, UnknownChords};
use countoff::codec::{abc, musicxml, smf};
use countoff::deliver::Manifest;
use countoff::lesson::{Lesson, Neighbours};
use countoff::performance::{Instrument, Part, PerformedNote, PerformedPart, TempoMap};
use countoff::sound::{SoundFont, Sounds, StoreBudget};
use countoff::style::{BassStyle, CompStyle, DrumStyle, Library, StyleFile};
use countoff::theory::{ChordSymbol, Degree, Key, Mode, NoteName, Pitch, parse_chord, parse_roman};
use countoff::units::{Frames, Meter, Meters, SampleRate, Tempo, Ticks, Velocity};

use crate::seeds;

/// A reader with its valid inputs.
pub(crate) struct Target {
    pub(crate) name: &'static str,
    /// Of a thousand inputs for all targets, how many are for this one: the cheap ones get more.
    pub(crate) share: u64,
    pub(crate) seeds: fn() -> Vec<Vec<u8>>,
    /// Reads an input; true where it is valid. Panics where something contradicts itself.
    pub(crate) read: fn(&[u8]) -> bool,
}

pub(crate) const TARGETS: [Target; 9] = [
    Target { name: "chart", share: 120, seeds: seeds::charts, read: chart },
    Target { name: "numerals", share: 330, seeds: seeds::numerals, read: numerals },
    Target { name: "lesson", share: 4, seeds: seeds::lessons, read: lesson },
    Target { name: "style", share: 60, seeds: seeds::styles, read: style },
    Target { name: "abc", share: 170, seeds: seeds::tunes, read: tune },
    Target { name: "musicxml", share: 70, seeds: seeds::scores, read: score },
    Target { name: "midi", share: 150, seeds: seeds::midi_files, read: midi },
    Target { name: "soundfont", share: 40, seeds: seeds::soundfonts, read: soundfont },
    Target { name: "manifest", share: 56, seeds: seeds::manifests, read: manifest },
];

/// A meter that follows from the input.
fn meter(input: &[u8]) -> Meter {
    match input.len() % 8 {
        0 => Meter::ThreeFour,
        1 => Meter::SixEight,
        2 => Meter::TwoTwo,
        3 => Meter::FiveFour,
        _ => Meter::FourFour,
    }
}

fn chart(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    let key = Key::usual(u8::from(input.first().is_some_and(|byte| byte % 2 == 0)), Mode::Minor);
    let sections = [("A", text.as_ref())];
    let read = [meter(input), Meter::FourFour].map(|meter| {
        let source = ChartSource {
            name: "fuzz",
            key,
            meter,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &sections,
        };
        match source.parse() {
            Ok(chart) => {
                let _ = (chart.to_string(), chart.transpose(Key::usual(6, Mode::Minor)));
                let again = chart.to_text();
                let sections = [("A", again.sections[0].1.as_str())];
                let again = ChartSource { sections: &sections, ..source }.parse();
                assert_eq!(again.as_ref(), Ok(&chart), "written and read again");
                true
            }
            Err(errors) => {
                assert!(!errors.is_empty(), "no reason");
                for error in errors {
                    assert!(text.get(error.span.clone()).is_some(), "a place outside: {error:?}");
                    let _ = (error.to_string(), error.help());
                }
                false
            }
        }
    });
    read[1]
}

fn numerals(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    let key = Key::C;
    let mut read = false;
    for parse in [|text: &str, _| ChordSymbol::parse(text), parse_roman, parse_chord] {
        match parse(&text, key) {
            Ok(chord) => {
                let again = ChordSymbol::parse(&chord.to_string());
                assert_eq!(again.as_ref(), Ok(&chord), "written and read again");
                read = true;
            }
            Err(error) => {
                assert!(text.get(error.span.clone()).is_some(), "a place outside: {error:?}");
                if let Some(suggestion) = error.suggestion {
                    assert!(suggestion != text, "suggests what is there");
                    assert!(parse(&suggestion, key).is_ok(), "suggests `{suggestion}`");
                }
            }
        }
    }
    read | text.parse::<Key>().is_ok()
        | text.parse::<Pitch>().is_ok()
        | text.parse::<NoteName>().is_ok()
        | text.parse::<Degree>().is_ok()
        | text.eq_ignore_ascii_case("nc")
}

/// The files beside a lesson.
struct Beside;

impl Neighbours for Beside {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        let files = if path.ends_with("mid") { seeds::midi_files() } else { seeds::scores() };
        files.into_iter().next().ok_or_else(|| std::io::ErrorKind::NotFound.into())
    }
}

thread_local! {
    static LIBRARY: Library = Library::built_in();
}

fn lesson(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    LIBRARY.with(|library| match Lesson::read("lesson.toml", &text, &Beside, library) {
        Ok(lesson) => {
            assert!(!lesson.tracks.is_empty(), "a lesson without tracks");
            true
        }
        Err(problems) => {
            assert!(!problems.problems.is_empty(), "no reason");
            for problem in &problems.problems {
                let span = problem.span.clone();
                assert!(text.get(span).is_some(), "a place outside: {problem:?}");
            }
            false
        }
    })
}

fn style(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input).into_owned();
    let shelf = text.lines().next().unwrap_or_default().to_owned();
    let file = StyleFile { name: "own".to_owned(), origin: "own.toml".to_owned(), text };
    match shelf.as_str() {
        "# comp" => CompStyle::read(&file).is_ok(),
        "# bass" => BassStyle::read(&file).is_ok(),
        "# drums" => DrumStyle::read(&file).is_ok(),
        _ => {
            let comp = CompStyle::read(&file).is_ok();
            comp | BassStyle::read(&file).is_ok() | DrumStyle::read(&file).is_ok()
        }
    }
}

fn tune(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    match abc::read(&text, abc::Defaults { meters: Meters::constant(Meter::FourFour), fifths: -2 })
    {
        Ok(tune) => {
            assert!(!tune.notes.is_empty(), "no notes");
            for note in tune.notes {
                assert!(note.length > Ticks::ZERO, "{note:?}");
                assert!(text.get(note.span.clone()).is_some(), "a place outside: {note:?}");
            }
            true
        }
        Err(errors) => {
            assert!(!errors.is_empty(), "no reason");
            for error in errors {
                assert!(text.get(error.span.clone()).is_some(), "a place outside: {error:?}");
                let _ = (error.to_string(), error.problem.help());
            }
            false
        }
    }
}

fn score(input: &[u8]) -> bool {
    let Ok(sheet) = musicxml::read(input) else { return false };
    let _ = sheet
        .melody(Meters::constant(meter(input)))
        .map(|melody| assert!(melody.bars > 0 || melody.notes.is_empty()));
    for coda in [CodaIn::EveryChorus, CodaIn::LastChorus] {
        let (feel, unknown_chords) = (FeelName::Swing, UnknownChords::Silent);
        let name = "fuzz";
        let source = LeadSheetSource { name, key: None, feel, coda, unknown_chords, sheet: &sheet };
        let Ok(imported) = source.import() else { continue };
        let chart = imported.chart;
        assert!(!chart.bars.is_empty() && chart.bars.len() <= ChartSource::MOST_BARS, "bars");
        let roadmap = &chart.roadmap;
        assert!(roadmap.last.as_ref().is_none_or(|last| !last.is_empty()), "no last chorus");
        let besides =
            roadmap.intro.iter().chain(&roadmap.outro).chain(roadmap.last.iter().flatten());
        for bar in chart.bars.iter().chain(besides) {
            let length: Ticks = bar.slots.iter().map(|slot| slot.length).sum();
            assert_eq!(length, bar.setting.meter.bar(), "a bar that is not full");
        }
        let _ = chart.to_string();
    }
    true
}

fn midi(input: &[u8]) -> bool {
    let Ok(song) = smf::read(input) else { return false };
    for note in song.tracks.iter().flat_map(|track| &track.notes) {
        assert!(note.on < note.off && note.on >= Ticks::ZERO && note.pitch < 128, "{note:?}");
    }
    // Times beyond what a file can hold may be refused when it is written.
    if let Ok(written) = smf::write(&song) {
        assert!(smf::read(&written).is_ok(), "written and not read again");
    }
    true
}

fn soundfont(input: &[u8]) -> bool {
    let Ok(font) = SoundFont::open(Cursor::new(input.to_vec())) else { return false };
    let instruments: Vec<Instrument> =
        font.presets().iter().map(|preset| preset.instrument).take(4).collect();
    let hashed = instruments.iter().all(|instrument| font.hash_of(*instrument).is_ok());
    let budget = StoreBudget(1 << 20);
    let Ok(sounds) = Sounds::new(font, &instruments, SampleRate::Hz44100, budget) else {
        return false;
    };
    assert!(hashed, "it plays what it cannot hash");
    for instrument in instruments {
        let note = |pitch| PerformedNote {
            on: Ticks(0),
            off: Ticks(20),
            pitch,
            velocity: Velocity::clamped(90),
            variant: 0,
        };
        let notes = [36, 69].map(note).to_vec();
        let part = PerformedPart { part: Part::Comp, instrument, notes };
        let tempo = TempoMap::constant(Tempo(500_000));
        let Ok(mut stem) = sounds.stem(&part, &tempo, Frames::ZERO) else { return false };
        let (mut left, mut right) = (vec![0.0; 256], vec![0.0; 256]);
        if stem.add_block(&mut left, &mut right).is_err() {
            return false;
        }
        assert!(left.iter().chain(&right).all(|sample| sample.is_finite()), "not a number");
    }
    true
}

fn manifest(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    let path = Path::new("manifest.json");
    let Ok(manifest) = Manifest::parse(&text, path) else { return false };
    let written = manifest.to_json().unwrap_or_default();
    assert!(Manifest::parse(&written, path).is_ok(), "written and not read again");
    true
}

//! Valid inputs: the project's own files, and some small ones for what these leave out.

use countoff::codec::smf::{KeySignature, Note, Song, TimeSignature, Track, write};
use countoff::style::{Library, Shelf};
use countoff::units::{Tempo, Ticks, Velocity};

macro_rules! project_file {
    ($path:literal) => {
        include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../", $path)).to_vec()
    };
}

macro_rules! own_file {
    ($path:literal) => {
        include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/seeds/", $path)).to_vec()
    };
}

fn texts<const N: usize>(texts: [&str; N]) -> Vec<Vec<u8>> {
    texts.map(|text| text.as_bytes().to_vec()).to_vec()
}

pub(crate) fn charts() -> Vec<Vec<u8>> {
    texts([
        "| Am7b5 | D7b9 | Gm6 | % |",
        "|: Cm7 F7 | Bbmaj7 | 1. Am7b5 / / D7b9 | Gm6 :| 2. Am7b5 D7b9 | Gm6 / Gm7 / |]",
        "||: iiø7 V7b9 | i6 | N.C. | V7/iv :|: iv7 bVII7 | bIIImaj7 :|\n| C7(b9 b13) | F6/9/A |",
    ])
}

pub(crate) fn numerals() -> Vec<Vec<u8>> {
    texts([
        "iiø7",
        "V7b9",
        "i6",
        "V7/ii",
        "V7/V/ii",
        "I6/9/3",
        "bVIImaj7#11",
        "#ivø7",
        "vii°7",
        "imaj7",
        "v7",
        "ii7",
        "V7alt",
        "Am7b5",
        "Bb6/9/D",
        "F#m(maj9)",
        "C13sus4",
        "Ebmaj7#5",
        "G7(b9,#11)",
        "D7sus4b9",
        "Eomit5",
        "NC",
        "B♭Δ",
        "Gm",
        "F# minor",
        "Bb3",
    ])
}

pub(crate) fn lessons() -> Vec<Vec<u8>> {
    vec![
        project_file!("renders/evening-class/lesson.toml"),
        project_file!("renders/evening-class/lines.toml"),
        project_file!("renders/evening-class/exercises.toml"),
        project_file!("renders/evening-class/tunes.toml"),
        project_file!("src/cli/start/lesson.toml"),
        project_file!("src/cli/start/lesson-all.toml"),
    ]
}

/// The built-in styles, each behind the word for its shelf.
pub(crate) fn styles() -> Vec<Vec<u8>> {
    let library = Library::built_in();
    let of_shelf = |shelf: Shelf| {
        library.files(shelf).map(move |file| format!("# {shelf}\n{}", file.text).into_bytes())
    };
    Shelf::ALL.into_iter().flat_map(of_shelf).collect()
}

pub(crate) fn tunes() -> Vec<Vec<u8>> {
    texts([
        "FG | Aceg fedc | BA^FA cedc | B2 d>B G4 | (3GBd g2 z4 |",
        "X:1\nT:A walk\nM:4/4\nL:1/8\nK:Gm\n|: d2 [Bd]2 !mf! .c Lc \"Am7\" {g}a2- | a8 |1 G8 :|2 g8 |]",
        "K:D mix ^c\nL:1/16\n[CE-G]4 (5:4:5cdefg z/ x2 | Z2 | c<d e>>f [I:x] [K:C octave=-1] c8 | % end\n",
    ])
}

pub(crate) fn scores() -> Vec<Vec<u8>> {
    vec![
        project_file!("renders/evening-class/steps-to-the-door.musicxml"),
        own_file!("lead-sheet.musicxml"),
        project_file!("tests/facts/roadmaps/dal-segno-al-coda.musicxml"),
        project_file!("tests/facts/roadmaps/da-capo-al-fine.musicxml"),
        own_file!("line.musicxml"),
    ]
}

pub(crate) fn midi_files() -> Vec<Vec<u8>> {
    let note = |at: i64, pitch| Note {
        on: Ticks(at * 480),
        off: Ticks(at * 480 + 400),
        pitch,
        velocity: Velocity::clamped(80),
    };
    let song = Song {
        name: "Two bars".to_owned(),
        tempos: vec![(Ticks(0), Tempo(500_000)), (Ticks(3840), Tempo(750_000))],
        meters: vec![(Ticks(0), TimeSignature { numerator: 4, denominator: 4 })],
        keys: vec![(Ticks(0), KeySignature { fifths: -2, minor: true })],
        markers: vec![(Ticks(0), "A".to_owned())],
        tracks: vec![
            Track {
                name: "line".to_owned(),
                channel: 0,
                programs: vec![(Ticks::ZERO, 11)],
                notes: (0..16).zip(55..).map(|(at, pitch)| note(at, pitch)).collect(),
            },
            Track {
                name: "drums".to_owned(),
                channel: 9,
                programs: Vec::new(),
                notes: vec![note(0, 51)],
            },
        ],
        end: Ticks(7680),
    };
    let mut written: Vec<Vec<u8>> = write(&song).into_iter().collect();
    // Format 0 with running status, another resolution, and a text of every kind.
    written.push(
        [
            b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x2d".as_slice(),
            b"\0\xff\x03\x04line\0\xff\x51\x03\x07\xa1\x20\0\xff\x06\x01A",
            b"\0\xc0\x05\0\x90\x3c\x40\x30\x3c\0\0\x3e\x40\x60\x3e\0\0\xf0\x02\x01\xf7\0\xff\x2f\0",
        ]
        .concat(),
    );
    written
}

pub(crate) fn soundfonts() -> Vec<Vec<u8>> {
    vec![own_file!("tiny.sf2")]
}

pub(crate) fn manifests() -> Vec<Vec<u8>> {
    vec![own_file!("manifest.json")]
}

//! MIDI files byte by byte against the standard's own values (`facts/standards.tsv`), and back.

use countoff::codec::smf::{KeySignature, Note, SmfError, Song, TimeSignature, Track, read, write};
use countoff::units::{Bpm, Meter, Tempo, Ticks, Velocity};
use proptest::prelude::*;

/// Standard MIDI Files 1.0 (MIDI Association RP-001), as far as the rows say.
const STANDARDS: &str = include_str!("../facts/standards.tsv");

fn rows(area: &str) -> Vec<Vec<&'static str>> {
    let rows = STANDARDS.lines().map(|line| line.split('\t').collect::<Vec<_>>());
    let rows: Vec<_> = rows.filter(|cells| cells[0] == area).collect();
    assert!(!rows.is_empty(), "{area}");
    rows
}

fn bytes_of(hex: &str) -> Vec<u8> {
    hex.split_whitespace().map(|byte| u8::from_str_radix(byte, 16).unwrap()).collect()
}

fn contains(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

fn note(on: i64, off: i64, pitch: u8) -> Note {
    Note { on: Ticks(on), off: Ticks(off), pitch, velocity: Velocity::clamped(80) }
}

fn song(notes: Vec<Note>) -> Song {
    let track =
        Track { name: "comp".to_owned(), channel: 0, programs: vec![(Ticks::ZERO, 0)], notes };
    Song { name: "take".to_owned(), tracks: vec![track], end: Ticks(3840), ..Song::default() }
}

#[test]
fn the_header_is_format_1_with_960_ticks_to_the_quarter() {
    let bytes = write(&song(vec![note(0, 960, 60)])).unwrap();
    let fixed = rows("SMF header")[0][2].split('|').next().unwrap().trim();
    assert!(bytes.starts_with(&bytes_of(fixed)));
    assert_eq!(bytes[8..14], [0, 1, 0, 2, 0x03, 0xC0]);
}

#[test]
fn spans_are_variable_length_quantities() {
    for row in rows("SMF VLQ") {
        let span = i64::from_str_radix(row[2].trim_start_matches("0x"), 16).unwrap();
        let bytes = write(&song(vec![note(span, span + 1, 60)])).unwrap();
        // The first note-on is the first event that is neither name nor program.
        let mut expected = bytes_of("00 C0 00");
        expected.extend(bytes_of(row[3]));
        expected.extend(bytes_of("90 3C 50"));
        assert!(contains(&bytes, &expected), "{}", row[2]);
    }
}

#[test]
fn tempos_are_microseconds_per_quarter_in_three_bytes() {
    for row in rows("SMF tempo meta FF 51 03") {
        let bpm: f64 = row[2].trim_end_matches(" bpm").parse().unwrap();
        let hex = row[3].split("= ").nth(1).unwrap();
        let digits: Vec<u8> = hex.bytes().collect();
        let mut expected = bytes_of("FF 51 03");
        for pair in digits.chunks(2) {
            let pair = std::str::from_utf8(pair).unwrap();
            expected.push(u8::from_str_radix(pair, 16).unwrap());
        }
        let tempo = Bpm::new(bpm).unwrap().tempo(Meter::FourFour);
        let song = Song { tempos: vec![(Ticks::ZERO, tempo)], ..song(Vec::new()) };
        assert!(contains(&write(&song).unwrap(), &expected), "{bpm}");
    }
}

#[test]
fn signatures_markers_and_names_are_the_standards_bytes() {
    let standard = rows("SMF meta");
    let cell = |what: &str| standard.iter().find(|row| row[1].starts_with(what)).unwrap()[2];
    for (meter, what) in
        [(Meter::FourFour, "time signature 4/4"), (Meter::ThreeFour, "time signature 3/4")]
    {
        let song = Song { meters: vec![(Ticks::ZERO, meter.into())], ..song(Vec::new()) };
        assert!(contains(&write(&song).unwrap(), &bytes_of(cell(what))), "{what}");
    }
    let keys = [(-2, false), (6, false), (-3, true)];
    for ((fifths, minor), hex) in keys.into_iter().zip(cell("key signature").split('/')) {
        let keys = vec![(Ticks::ZERO, KeySignature { fifths, minor })];
        let bytes = write(&Song { keys, ..song(Vec::new()) }).unwrap();
        assert!(contains(&bytes, &bytes_of(hex)), "{hex}");
    }
    assert!(cell("marker").starts_with("FF 06"));
    let markers = vec![(Ticks(3840), "chorus 2".to_owned())];
    let bytes = write(&Song { markers, ..song(Vec::new()) }).unwrap();
    assert!(contains(&bytes, b"\x9E\x00\xFF\x06\x08chorus 2"));
    assert!(contains(&bytes, b"\x00\xFF\x03\x04comp"));
}

#[test]
fn compound_meters_click_on_the_dotted_quarter() {
    for (meter, expected) in
        [(Meter::SixEight, "FF 58 04 06 03 24 08"), (Meter::TwoTwo, "FF 58 04 02 01 30 08")]
    {
        let song = Song { meters: vec![(Ticks::ZERO, meter.into())], ..song(Vec::new()) };
        assert!(contains(&write(&song).unwrap(), &bytes_of(expected)), "{meter}");
    }
}

#[test]
fn every_track_ends_with_the_end_of_track() {
    let bytes = write(&song(vec![note(0, 960, 60)])).unwrap();
    let end = bytes_of(rows("SMF track")[0][2]);
    assert!(bytes.ends_with(&end));
    let length = u32::from_be_bytes(bytes[18..22].try_into().unwrap()) as usize;
    assert!(bytes[22..22 + length].ends_with(&end));
}

#[test]
fn a_pitch_that_is_struck_again_ends_first() {
    let overlapping = vec![note(0, 1000, 60), note(960, 1900, 60), note(0, 500, 64)];
    let bytes = write(&song(overlapping)).unwrap();
    let notes = &read(&bytes).unwrap().tracks[0].notes;
    assert_eq!(*notes, [note(0, 960, 60), note(0, 500, 64), note(960, 1900, 60)]);
    // Note-off (80) before note-on (90) at one tick.
    let bytes = write(&song(vec![note(0, 1000, 60), note(960, 1900, 60)])).unwrap();
    assert!(contains(&bytes, &bytes_of("80 3C 40 00 90 3C 50")));
}

#[test]
fn what_midi_cannot_hold_is_an_error() {
    let wrong = [
        song(vec![note(0, 960, 128)]),
        song(vec![note(960, 960, 60)]),
        song(vec![note(-1, 960, 60)]),
        song(vec![note(0, 1 << 30, 60)]),
        Song { tempos: vec![(Ticks::ZERO, Tempo(0))], ..song(Vec::new()) },
        Song { tempos: vec![(Ticks::ZERO, Tempo(1 << 24))], ..song(Vec::new()) },
        Song {
            meters: vec![(Ticks::ZERO, TimeSignature { numerator: 4, denominator: 3 })],
            ..song(Vec::new())
        },
    ];
    for song in wrong {
        let error = write(&song).unwrap_err();
        assert!(matches!(error, SmfError::Value(_)), "{error}");
    }
}

#[test]
fn foreign_files_are_read() {
    // Format 0, 96 ticks to the quarter, running status, a note-on of velocity 0 as note-off, and
    // a note that is never let go.
    let track = bytes_of("00 90 3C 40 60 3C 00 00 3E 40 30 FF 2F 00");
    let mut bytes = b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x0E".to_vec();
    bytes.extend(track);
    let song = read(&bytes).unwrap();
    let found: Vec<_> = song.tracks[0].notes.iter().map(|n| (n.on.0, n.off.0, n.pitch)).collect();
    assert_eq!(found, [(0, 960, 60), (960, 1440, 62)]);

    let mut patterns = bytes.clone();
    patterns[9] = 2;
    assert_eq!(read(&patterns), Err(SmfError::Patterns));
    let mut frames = bytes.clone();
    frames[12..14].copy_from_slice(&[0xE7, 0x28]);
    assert_eq!(read(&frames), Err(SmfError::FilmFrames));
    assert_eq!(read(&bytes[..bytes.len() - 6]), Err(SmfError::CutShort(1)));
    assert!(matches!(read(b"RIFF"), Err(SmfError::Damaged(_))));
}

fn songs() -> impl Strategy<Value = Song> {
    let notes =
        (0..40_000_i64, 1..4_000_i64, 0..128_u8, 1..128_i32).prop_map(|(on, len, pitch, vel)| {
            let velocity = Velocity::clamped(vel);
            Note { on: Ticks(on), off: Ticks(on + len), pitch, velocity }
        });
    let track = (
        "[a-z ]{0,12}",
        0..16_u8,
        prop::option::of(0..128_u8),
        prop::collection::vec(notes, 1..40),
    );
    let tracks = track.prop_map(|(name, channel, program, notes)| {
        let programs = program.map(|program| (Ticks::ZERO, program)).into_iter().collect();
        Track { name, channel, programs, notes }
    });
    prop::collection::vec(tracks, 0..5).prop_map(|tracks| Song {
        name: "Evening class".to_owned(),
        tempos: vec![(Ticks::ZERO, Tempo(416_667)), (Ticks(7680), Tempo(500_000))],
        meters: vec![(Ticks::ZERO, Meter::FourFour.into())],
        keys: vec![(Ticks::ZERO, KeySignature { fifths: -2, minor: true })],
        markers: vec![(Ticks::ZERO, "A".to_owned()), (Ticks(3840), "B ♭".to_owned())],
        tracks,
        end: Ticks(50_000),
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_reads_back(song in songs()) {
        let bytes = write(&song).unwrap();
        let once = read(&bytes).unwrap();
        prop_assert_eq!(&write(&once).unwrap(), &bytes);
        prop_assert_eq!(once.tempos, song.tempos);
        prop_assert_eq!(once.markers, song.markers);
        prop_assert_eq!(once.end, song.end);
        for (read_back, written) in once.tracks.iter().zip(&song.tracks) {
            prop_assert_eq!(&read_back.name, &written.name);
            for pitch in 0..128 {
                let of_pitch: Vec<_> = read_back.notes.iter().filter(|n| n.pitch == pitch).collect();
                prop_assert!(of_pitch.windows(2).all(|pair| pair[0].off <= pair[1].on));
            }
        }
    }

    #[test]
    fn damaged_files_never_panic(song in songs(), at in 0..400_usize, value: u8, cut in 0..400_usize) {
        let mut bytes = write(&song).unwrap();
        if let Some(byte) = bytes.get_mut(at) {
            *byte = value;
        }
        let _ = read(&bytes);
        let _ = read(&bytes[..cut.min(bytes.len())]);
    }
}

//! What is too large, or holds what cannot be shown, is an error that says so; reading it costs no
//! more than what it is long.

use std::io::Cursor;

use countoff::chart::{
    Chart, ChartError, ChartSource, CodaIn, FeelName, FormSource, LeadSheetSource, Problem,
    UnknownChords,
};
use countoff::codec::{MOST_NOTES, abc, musicxml, smf};
use countoff::sound::SoundFont;
use countoff::units::{Meter, Meters};

fn chart(sections: &[(&str, &str)], form: Option<&str>) -> Result<Chart, Vec<ChartError>> {
    let key = "Gm".parse().unwrap();
    let (meter, feel) = (Meter::FourFour, FeelName::Swing);
    let form = FormSource { chorus: form, ..FormSource::default() };
    ChartSource { name: "test", key, meter, feel, form, sections }.parse()
}

#[test]
fn a_chart_of_a_million_bars_is_refused_before_it_is_read() {
    let errors = chart(&[("A", &"| Gm6 ".repeat(1_000_000))], None).unwrap_err();
    assert_eq!(errors.len(), 1);
    assert!(errors[0].to_string().contains("6000000 bytes"), "{}", errors[0]);
    assert!(errors[0].help().unwrap().contains("choruses"));
    let errors = chart(&[("A", &"|C".repeat(2_000))], None).unwrap_err();
    assert_eq!(errors[0].problem, Problem::TooLong(ChartSource::MOST_BARS));
    // A bar of thousands of words is one error.
    let errors = chart(&[("A", &format!("| Gm6 | {} |", "x ".repeat(20_000)))], None).unwrap_err();
    assert_eq!(errors.len(), 1);
}

#[test]
fn section_names_with_control_characters_are_errors_that_show_them() {
    let sections = [("A", "| Gm6 |"), ("\u{1b}[2J", "| D7 |")];
    let errors = chart(&sections, Some("A \u{1b}[2J")).unwrap_err();
    assert_eq!(errors[0].problem, Problem::SectionName("\\u{1b}[2J".to_owned()));
    let shown: String = errors.iter().map(|error| format!("{error}{:?}", error.help())).collect();
    assert!(!shown.contains('\u{1b}'));
    let errors = chart(&[("A", "| C\u{1b}7 |")], Some("A \0")).unwrap_err();
    let shown: String = errors.iter().map(|error| format!("{error}{:?}", error.help())).collect();
    assert!(!shown.contains(['\u{1b}', '\0']), "{shown}");
}

/// A MIDI file of format 0 with 96 ticks to the quarter, and the events of its track.
fn midi(events: &[u8]) -> Vec<u8> {
    let track = [events, b"\0\xff\x2f\0"].concat();
    let length = u32::try_from(track.len()).unwrap().to_be_bytes();
    [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk".as_slice(), &length, &track].concat()
}

#[test]
fn a_midi_file_without_ticks_is_an_error_with_its_place() {
    let mut bytes = midi(&[]);
    bytes[13] = 0;
    let error = smf::read(&bytes).unwrap_err();
    assert_eq!(error, smf::SmfError::NoTicks);
    assert!(error.to_string().contains("byte 13"));
    // -128 frames a second: the library negates this number, which is beyond its type.
    bytes[12] = 0x80;
    assert_eq!(smf::read(&bytes), Err(smf::SmfError::FilmFrames));
    let mut second = midi(&[]);
    second.extend(b"MThd\0\0\0\x06\0\0\0\x01\x80\0");
    let error = smf::read(&second).unwrap_err().to_string();
    assert!(error.contains("second header"), "{error}");
}

#[test]
fn midi_files_have_a_size() {
    let notes = b"\0\x90\x3c\x40\x01\x80\x3c\x40".repeat(MOST_NOTES + 1);
    assert_eq!(smf::read(&midi(&notes)), Err(smf::SmfError::TooManyNotes));
    assert_eq!(smf::read(&midi(&vec![0; smf::MOST_BYTES])), Err(smf::SmfError::TooBig));
    let marker = smf::read(&midi(b"\0\xff\x06\x02\x1bc")).unwrap().markers.remove(0).1;
    assert_eq!(marker, "\\u{1b}c");
}

/// A score with one measure, in which something stands.
fn score(measure: &str, attributes: &str) -> Vec<u8> {
    format!(
        "<score-partwise{attributes}><work><work-title>A\u{9b}2J</work-title></work><part id='P1'>\
         <measure number='1\u{202e}'>{measure}</measure></part></score-partwise>"
    )
    .into_bytes()
}

#[test]
fn scores_have_a_size() {
    let error = |bytes: &[u8]| musicxml::read(bytes).unwrap_err().to_string();
    let names = |prefix: &str, count: u32| {
        (0..count).map(|name| format!(" {prefix}{name}='u{name}'")).collect::<String>()
    };
    let many = score("", &names("a", 200_000));
    assert!(error(&many).contains("more than 500 attributes in one element"), "{}", error(&many));
    // Attributes whose values hide the end of the element.
    let many = score("", &names("a", 200_000).replace("'u", "'>"));
    assert!(error(&many).contains("attributes in one element"), "{}", error(&many));
    let many = score(&format!("<note {}/>", names("a", 400)).repeat(2_000), "");
    assert!(error(&many).contains("more than 500000 attributes"), "{}", error(&many));
    assert!(error(&score("", &names("xmlns:n", 101))).contains("100 namespaces"));
    assert!(error(&score(&"<a/>".repeat(1_100_000), "")).contains("more than 1000000 elements"));
    let measures = "</measure><measure>".repeat(5_000);
    assert!(error(&score(&measures, "")).contains("more than 4096 measures"));
    // The least number of a byte has no opposite.
    let moved = "<attributes><transpose><diatonic>-128</diatonic><chromatic>-2</chromatic>\
                 </transpose></attributes>";
    let sheet = musicxml::read(&score(moved, "")).unwrap();
    assert_eq!(sheet.measures[0].transpose.unwrap().steps, None);
    let held = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>\
                <tie type='start'/></note><backup><duration>1</duration></backup>";
    let sheet = musicxml::read(&score(&held.repeat(MOST_NOTES + 1), "")).unwrap();
    let error = sheet.melody(Meters::constant(Meter::FourFour)).unwrap_err().to_string();
    assert!(error.contains("more than 50000 notes"), "{error}");
}

#[test]
fn names_in_a_score_are_shown_where_they_cannot_be_printed() {
    let chord = "<direction><direction-type><rehearsal>B\u{9b}C</rehearsal></direction-type>\
                 </direction><harmony><root><root-step>C</root-step></root><kind>ma\u{9b}jor</kind>\
                 </harmony>";
    let sheet = musicxml::read(&score(chord, "")).unwrap();
    assert_eq!(sheet.title.as_deref(), Some("A\\u{9b}2J"));
    assert_eq!(sheet.measures[0].number, "1\\u{202e}");
    assert_eq!(sheet.measures[0].rehearsal.as_deref(), Some("B\\u{9b}C"));
    let source = LeadSheetSource {
        name: "test",
        key: None,
        feel: FeelName::Swing,
        coda: CodaIn::EveryChorus,
        unknown_chords: UnknownChords::Refused,
        sheet: &sheet,
    };
    let errors = source.import().unwrap_err();
    assert!(!errors[0].to_string().contains('\u{9b}'), "{}", errors[0]);
}

#[test]
fn tunes_have_a_size() {
    let read = |text: &str| {
        let defaults = abc::Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 };
        abc::read(text, defaults).unwrap_err().remove(0).problem.to_string()
    };
    assert!(read(&"c8 | ".repeat(20_000)).contains("more than 65536 bytes"));
    assert!(read("c8 | Z1024 | c8").contains("more than 1024 bars"));
    assert!(read("c8 | Z1025 | c8").contains("`Z1025` is no length"));
    assert!(read("c8 | Z0 | c8").contains("no length"));
    let chord = format!("|: [{}]8 :::::::::|", "c".repeat(60_000));
    assert!(read(&chord).contains("more than 50000 notes"));
    assert_eq!(read("c8 | \u{1b}"), "`\\u{1b}` means nothing in ABC");
}

#[test]
fn a_soundfont_of_empty_chunks_is_refused() {
    let list = [b"INFO".as_slice(), &b"xxxx\0\0\0\0".repeat(2_000)].concat();
    let chunk = |name: &[u8], content: &[u8]| {
        let length = u32::try_from(content.len()).unwrap().to_le_bytes();
        [name, &length, content].concat()
    };
    let file = chunk(b"RIFF", &[b"sfbk".to_vec(), chunk(b"LIST", &list)].concat());
    let error = SoundFont::open(Cursor::new(file)).unwrap_err().to_string();
    assert!(error.contains("more than 1000 chunks"), "{error}");
}

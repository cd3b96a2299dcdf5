//! Lead sheets in MusicXML: chords, repeats, offsets; and files that mean no good.

use std::io::Write;

use countoff::codec::musicxml::{
    DegreeElement, DegreeKind, Jump, JumpKind, LeadSheet, MusicXmlError, TimeSignature, read,
};
use countoff::theory::{Change, ChordSymbol, DegreeChange, KindError, Letter, NoteName};
use countoff::units::Ticks;
use proptest::prelude::*;

/// The kinds of MusicXML 4.0 and how to write symbols that have none; sources in the table.
const KINDS: &str = include_str!("../facts/musicxml_kinds.tsv");

/// An invented lead sheet: pickup, repeat with two endings, two chords in a bar.
const SHEET: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0">
  <work><work-title>Chairs in a Circle</work-title></work>
  <part-list><score-part id="P1"><part-name>Lead</part-name></score-part></part-list>
  <part id="P1">
    <measure number="0" implicit="yes">
      <attributes><divisions>6</divisions><key><fifths>-2</fifths><mode>minor</mode></key>
        <time><beats>4</beats><beat-type>4</beat-type></time></attributes>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>3</duration><voice>1</voice></note>
      <note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>3</duration></note>
    </measure>
    <measure number="1">
      <barline location="left"><repeat direction="forward"/></barline>
      <direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>
      <harmony><root><root-step>A</root-step></root><kind text="m7b5">half-diminished</kind></harmony>
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><tie type="start"/></note>
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>10</duration><tie type="stop"/></note>
      <harmony><root><root-step>D</root-step></root><kind text="7">dominant</kind>
        <bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>
        <degree><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type></degree></harmony>
      <note><rest/><duration>12</duration></note>
    </measure>
    <measure number="2">
      <barline location="left"><ending number="1" type="start"/></barline>
      <harmony><root><root-step>G</root-step></root><kind>minor-sixth</kind></harmony>
      <harmony><root><root-step>E</root-step><root-alter>-1</root-alter></root><kind>major-seventh</kind><offset>12</offset></harmony>
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>24</duration></note>
      <note><chord/><pitch><step>B</step><alter>-1</alter><octave>4</octave></pitch><duration>24</duration></note>
      <barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>
    </measure>
    <measure number="3">
      <barline location="left"><ending number="2" type="start"/></barline>
      <harmony><root><root-step>C</root-step></root><kind>none</kind></harmony>
      <note><rest/><duration>24</duration></note>
      <backup><duration>12</duration></backup>
      <harmony><root><root-step>G</root-step></root><kind>minor-sixth</kind></harmony>
      <forward><duration>12</duration></forward>
      <direction><sound dalsegno="s"/></direction>
      <barline location="right"><ending number="2" type="discontinue"/></barline>
    </measure>
  </part>
</score-partwise>"#;

fn sheet() -> LeadSheet {
    read(SHEET.as_bytes()).unwrap()
}

#[test]
fn measures_signatures_and_repeats_are_read() {
    let sheet = sheet();
    assert_eq!(sheet.title.as_deref(), Some("Chairs in a Circle"));
    let [pickup, first, second, third] = &sheet.measures[..] else { panic!("{sheet:?}") };
    assert!(!pickup.counted && first.counted);
    assert_eq!([pickup.length, first.length], [Ticks(960), Ticks(3840)]);
    assert_eq!(pickup.time, Some(TimeSignature { beats: 4, beat_type: 4 }));
    assert!(pickup.key.is_some_and(|key| key.fifths == -2 && key.minor));
    assert_eq!(first.rehearsal.as_deref(), Some("A"));
    assert!(first.repeat_start && second.repeat_end == Some(2));
    assert_eq!((&second.endings[..], second.ending_stop), (&[1][..], true));
    assert_eq!((&third.endings[..], third.ending_stop), (&[2][..], true));
    let jump = Jump { kind: JumpKind::DalSegno("s".to_owned()), times: vec![] };
    assert_eq!((&third.jumps[..], &sheet.warnings[..]), (&[jump][..], &[][..]));
}

#[test]
fn chords_stand_at_their_offsets() {
    let sheet = sheet();
    let chords: Vec<(i64, &str)> = sheet
        .measures
        .iter()
        .flat_map(|measure| &measure.harmonies)
        .map(|harmony| (harmony.at.0, harmony.kind.as_str()))
        .collect();
    assert_eq!(
        chords,
        [
            (0, "half-diminished"),
            (1920, "dominant"),
            (0, "minor-sixth"),
            (1920, "major-seventh"),
            (0, "none"),
            (1920, "minor-sixth"),
        ]
    );
    let dominant = &sheet.measures[1].harmonies[1];
    let flat_nine = DegreeElement { kind: DegreeKind::Add, value: 9, alter: -1, printed: true };
    assert_eq!(dominant.degrees, [flat_nine]);
    assert_eq!(dominant.bass, Some(NoteName::new(Letter::F, 1)));
}

#[test]
fn melody_notes_have_time_pitch_and_ties() {
    let sheet = sheet();
    let notes = &sheet.measures[1].notes;
    assert_eq!(notes.iter().map(|note| note.length.0).collect::<Vec<_>>(), [320, 1600, 1920]);
    assert!(notes[0].tie_start && notes[1].tie_stop && notes[2].pitch.is_none());
    assert_eq!(sheet.measures[2].notes[1].at, Ticks::ZERO);
}

fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, content) in files {
        zip.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

const CONTAINER: &[u8] = br#"<container><rootfiles>
  <rootfile full-path="cover.pdf" media-type="application/pdf"/>
  <rootfile full-path="music/lead.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
</rootfiles></container>"#;

#[test]
fn compressed_and_wide_files_say_the_same() {
    let archive =
        zipped(&[("META-INF/container.xml", CONTAINER), ("music/lead.musicxml", SHEET.as_bytes())]);
    assert_eq!(read(&archive).unwrap(), sheet());
    let mut wide = vec![0xFF, 0xFE];
    let text = SHEET.replace("UTF-8", "UTF-16");
    wide.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    assert_eq!(read(&wide).unwrap(), sheet());
    let marked = format!("\u{FEFF}{SHEET}");
    assert_eq!(read(marked.as_bytes()).unwrap(), sheet());
}

#[test]
fn a_small_archive_that_unpacks_to_much_is_refused() {
    let much = vec![b' '; 40 << 20];
    let archive = zipped(&[("META-INF/container.xml", CONTAINER), ("music/lead.musicxml", &much)]);
    assert!(archive.len() < 100_000);
    assert_eq!(read(&archive), Err(MusicXmlError::TooBig(16)));
}

#[test]
fn entities_and_deep_nesting_do_no_harm() {
    let bomb = r#"<!DOCTYPE s [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><score-partwise>&b;</score-partwise>"#;
    assert_eq!(read(bomb.as_bytes()), Err(MusicXmlError::Entities));
    let deep = format!("<score-partwise><part><measure>{}", "<note>".repeat(200_000));
    assert!(matches!(read(deep.as_bytes()), Err(MusicXmlError::Damaged(_))));
    let deep = format!("{deep}{}</measure></part></score-partwise>", "</note>".repeat(200_000));
    assert!(read(deep.as_bytes()).is_ok());
}

#[test]
fn what_is_no_lead_sheet_is_an_error() {
    let measure = |content: &str| {
        read(format!("<score-partwise><part><measure number=\"7\">{content}</measure></part></score-partwise>").as_bytes())
    };
    assert!(matches!(read(b"MThd"), Err(MusicXmlError::Damaged(_))));
    assert!(matches!(read(b"PK\x03\x04 no archive"), Err(MusicXmlError::Damaged(_))));
    assert!(matches!(read(b"<html/>"), Err(MusicXmlError::NotAScore(name)) if name == "html"));
    assert_eq!(read(b"<score-timewise/>"), Err(MusicXmlError::Timewise));
    assert_eq!(read(b"<score-partwise/>"), Err(MusicXmlError::Empty));
    for content in [
        "<attributes><divisions>0</divisions></attributes>",
        "<note><rest/><duration>1e300</duration></note>",
    ] {
        let error = measure(content).unwrap_err();
        assert!(error.to_string().starts_with("measure 7: "), "{error}");
    }
    for harmony in [
        "<root><root-step>H</root-step></root><kind>major</kind>",
        "<kind>major</kind>",
        "<root><root-step>C</root-step><root-alter>5</root-alter></root><kind>major</kind>",
    ] {
        let sheet = measure(&format!("<harmony>{harmony}</harmony>")).unwrap();
        assert_eq!(sheet.measures[0].unread.len(), 1, "{harmony}");
    }
    for cut in 0..SHEET.len() {
        if SHEET.is_char_boundary(cut) {
            assert!(read(&SHEET.as_bytes()[..cut]).is_err());
        }
    }
}

fn on_c(kind: &str, changes: &[DegreeChange]) -> ChordSymbol {
    let root = "C".parse().unwrap();
    ChordSymbol::from_kind(root, kind, changes, None).unwrap().unwrap()
}

#[test]
fn every_kind_is_the_symbol_of_its_usual_text() {
    let mut kinds = 0;
    for row in KINDS.lines().skip(1).take_while(|row| !row.starts_with('(')) {
        let cells: Vec<&str> = row.split('\t').collect();
        kinds += 1;
        match cells[0] {
            "none" => {
                let chord = ChordSymbol::from_kind("C".parse().unwrap(), "none", &[], None);
                assert_eq!(chord, Ok(None));
            }
            "other" | "pedal" => assert_eq!(on_c(cells[0], &[]).degrees.len(), 1),
            kind if cells[1].starts_with('(') => {
                let error = ChordSymbol::from_kind("C".parse().unwrap(), kind, &[], None);
                assert_eq!(error, Err(KindError::Unknown(kind.to_owned())));
            }
            kind => {
                let symbol = ChordSymbol::parse(&format!("C{}", cells[2])).unwrap();
                assert_eq!(on_c(kind, &[]), symbol, "{kind}");
                // MusicXML stacks the eleventh into its thirteenths; musicians leave it out.
                let without_eleventh = cells[1].replace(" 11 13", " 13");
                let degrees: Vec<String> = symbol.degrees.iter().map(ToString::to_string).collect();
                assert_eq!(degrees.join(" "), without_eleventh, "{kind}");
            }
        }
    }
    assert_eq!(kinds, 33);
    // No kind of the standard, but written by some programs.
    assert_eq!(on_c("minor-major", &[]), on_c("major-minor", &[]));
}

/// The table's ways to write symbols that have no kind. Where it adds a seventh it counts from the
/// major scale; the standard counts an added seventh from a dominant chord, so that here the
/// seventh of `7sus4` is 0 (-1 is understood too) and the major one of `dim(maj7)` is +1.
#[test]
fn changes_of_degree_make_the_other_symbols() {
    let add = |number, alter| DegreeChange { change: Change::Add, number, alter };
    let alter = |number, alter| DegreeChange { change: Change::Alter, number, alter };
    let subtract = |number| DegreeChange { change: Change::Subtract, number, alter: 0 };
    let cases: [(&str, &[DegreeChange], &str); 22] = [
        ("dominant", &[alter(5, -1), add(5, 1), add(9, -1), add(9, 1)], "7alt"),
        ("dominant", &[alter(5, -1), alter(5, 1), alter(9, -1), alter(9, 1)], "7alt"),
        ("suspended-fourth", &[add(7, -1)], "7sus4"),
        ("suspended-fourth", &[add(7, 0)], "7sus4"),
        ("suspended-fourth", &[add(7, 0), add(9, 0)], "9sus4"),
        ("suspended-fourth", &[add(7, 0), add(9, 0), add(13, 0)], "13sus4"),
        ("dominant", &[subtract(3), add(4, 0)], "7sus4"),
        ("major-sixth", &[add(9, 0)], "6/9"),
        ("major-seventh", &[add(11, 1)], "maj7#11"),
        ("dominant", &[add(11, 1)], "7#11"),
        ("dominant", &[add(9, -1)], "7b9"),
        ("dominant", &[add(9, 1)], "7#9"),
        ("dominant", &[alter(5, -1)], "7b5"),
        ("augmented-seventh", &[add(9, -1)], "7#5b9"),
        ("dominant", &[add(9, -1), add(13, 0)], "13b9"),
        ("half-diminished", &[add(9, 0), add(11, 0)], "m11b5"),
        ("major-seventh", &[alter(5, 1)], "maj7#5"),
        ("diminished", &[add(7, 1)], "dim(maj7)"),
        ("minor-sixth", &[add(9, 0)], "m6/9"),
        ("major", &[add(9, 0)], "add9"),
        ("dominant-ninth", &[alter(9, -1)], "7b9"),
        ("other", &[add(3, 0), add(5, 0), add(7, 0)], "7"),
    ];
    for (kind, changes, suffix) in cases {
        let symbol = ChordSymbol::parse(&format!("C{suffix}")).unwrap();
        assert_eq!(on_c(kind, changes), symbol, "{kind} for {suffix}");
    }
    let absurd = ChordSymbol::from_kind("C".parse().unwrap(), "major", &[add(11, -1)], None);
    assert_eq!(absurd, Err(KindError::Degree { number: 11, alter: -1 }));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn damaged_files_never_panic(at in 0..SHEET.len(), value: u8, cut in 0..SHEET.len()) {
        let mut bytes = SHEET.as_bytes().to_vec();
        bytes[at] = value;
        let _ = read(&bytes);
        let mut archive = zipped(&[
            ("META-INF/container.xml", CONTAINER),
            ("music/lead.musicxml", SHEET.as_bytes()),
        ]);
        let place = at % archive.len();
        archive[place] = value;
        let _ = read(&archive);
        let _ = read(&archive[..cut.min(archive.len())]);
    }

    #[test]
    fn numbers_beyond_all_reason_never_panic(number in "-?[0-9]{1,25}(\\.[0-9]{1,3})?(e[0-9]{1,3})?") {
        for element in ["duration", "divisions", "degree-value", "degree-alter", "root-alter",
            "octave", "fifths", "beats", "beat-type", "alter", "offset"] {
            let text = replace_numbers(SHEET, element, &number);
            let _ = read(text.as_bytes());
        }
    }
}

/// The text with another number in every element of a name.
fn replace_numbers(text: &str, element: &str, number: &str) -> String {
    let open = format!("<{element}>");
    let mut pieces = text.split(&open);
    let first = pieces.next().unwrap().to_owned();
    pieces.fold(first, |whole, piece| {
        let after = piece.find('<').map_or("", |at| &piece[at..]);
        format!("{whole}{open}{number}{after}")
    })
}

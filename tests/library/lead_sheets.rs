//! Charts from MusicXML lead sheets. The sheets are invented for these tests.

use countoff::chart::{
    Chart, CodaIn, FeelName, ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource,
    UnknownChords,
};
use countoff::codec::musicxml::read;
use countoff::units::Meter;

fn import(measures: &str) -> Result<ImportedChart, Vec<LeadSheetError>> {
    import_with(measures, CodaIn::EveryChorus, UnknownChords::Refused)
}

fn import_with(
    measures: &str,
    coda: CodaIn,
    unknown_chords: UnknownChords,
) -> Result<ImportedChart, Vec<LeadSheetError>> {
    let xml = format!(
        "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Lead\
         </part-name></score-part></part-list><part id=\"P1\">{measures}</part></score-partwise>"
    );
    let sheet = read(xml.as_bytes()).unwrap();
    let (name, feel) = ("sheet", FeelName::Swing);
    LeadSheetSource { name, key: None, feel, coda, unknown_chords, sheet: &sheet }.import()
}

fn attributes(beats: u8, beat_type: u8) -> String {
    format!(
        "<attributes><divisions>2</divisions><key><fifths>-2</fifths><mode>minor</mode></key>\
         <time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time></attributes>"
    )
}

/// A `harmony` with its offset in eighths.
fn harmony(root: &str, kind: &str, offset: u8) -> String {
    format!(
        "<harmony><root><root-step>{root}</root-step></root><kind>{kind}</kind>\
         <offset>{offset}</offset></harmony>"
    )
}

fn measure(number: &str, content: &str) -> String {
    format!(
        "<measure number=\"{number}\">{content}<note><rest/><duration>8</duration></note></measure>"
    )
}

/// Each section with its bars, on one line, without what aligns them.
fn bars(chart: &Chart) -> Vec<String> {
    let text = chart.to_text();
    let section = |(name, bars): (String, String)| {
        let words: Vec<&str> = bars.split_whitespace().collect();
        format!("{name} {}", words.join(" ").replace("| |", "|"))
    };
    text.sections.into_iter().map(section).collect()
}

const FORWARD: &str = "<barline location=\"left\"><repeat direction=\"forward\"/></barline>";

fn backward(ending: u8) -> String {
    format!(
        "<barline location=\"right\"><ending number=\"{ending}\" type=\"stop\"/>\
         <repeat direction=\"backward\"/></barline>"
    )
}

fn ending(number: u8) -> String {
    format!("<barline location=\"left\"><ending number=\"{number}\" type=\"start\"/></barline>")
}

#[test]
fn chords_repeats_and_rehearsal_marks_become_a_chart() {
    let mark = "<direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>";
    let pickup = "<measure number=\"0\" implicit=\"yes\">".to_owned()
        + &attributes(4, 4)
        + "<note><rest/><duration>2</duration></note></measure>";
    let measures = [
        pickup,
        measure("1", &(FORWARD.to_owned() + &harmony("A", "half-diminished", 0))),
        measure("2", &(harmony("D", "dominant", 0) + &harmony("G", "minor-sixth", 6))),
        measure("3", &(ending(1) + &backward(1))),
        measure("4", &(ending(2) + &harmony("C", "none", 0))),
        measure("5", &(mark.to_owned() + &harmony("C", "minor-seventh", 0))),
    ];
    let imported = import(&measures.concat()).unwrap();
    let chart = &imported.chart;
    assert_eq!(chart.key.to_string(), "Gm");
    assert_eq!(chart.meter, Meter::FourFour);
    assert_eq!(imported.warnings, Vec::<String>::new());
    let first = "A | Am7b5 | D7 / / Gm6 | Gm6 | Am7b5 | D7 / / Gm6 | N.C. |";
    assert_eq!(bars(chart), [first, "B | Cm7 |"]);
}

#[test]
fn a_chord_between_counts_is_moved_and_told() {
    let first = attributes(3, 4) + &harmony("F", "dominant", 0) + &harmony("B", "major", 3);
    let imported = import(&measure("1", &first)).unwrap();
    assert_eq!(bars(&imported.chart), ["A | F7 / B |"]);
    assert_eq!(imported.warnings, ["measure 1: B is moved to count 3"]);
}

/// A meter that is not played, two chords that are none, and a repeat that is not closed.
#[test]
fn meters_and_chords_that_a_chart_cannot_hold_are_all_told() {
    let no_root = "<harmony><root><root-step>H</root-step></root><kind>major</kind></harmony>";
    let measures = [
        measure("1", &(attributes(7, 8) + &harmony("F", "Neapolitan", 0))),
        measure("2", &(attributes(4, 4) + no_root + FORWARD)),
    ]
    .concat();
    let errors = import(&measures).unwrap_err();
    let places: Vec<_> = errors.iter().map(|error| error.measure.as_str()).collect();
    assert_eq!(places, ["1", "1", "2", "2"]);
    assert_eq!(errors[0].problem, LeadSheetProblem::Meter { beats: 7, beat_type: 8 });
    assert!(matches!(errors[1].problem, LeadSheetProblem::Chord(_)));
    assert!(matches!(errors[2].problem, LeadSheetProblem::UnreadChord(_)));
    assert!(errors[2].problem.help().contains("unknown-chords"));
    assert!(errors[3].to_string().starts_with("measure 2: the repeat that begins here"));
}

/// Chords that do not exist need not refuse the tune.
#[test]
fn unknown_chords_can_be_silent() {
    let no_root = "<harmony><kind>major</kind><offset>4</offset></harmony>";
    let measures = [
        measure("1", &(attributes(4, 4) + &harmony("F", "Neapolitan", 0) + no_root)),
        measure("2", &harmony("C", "major", 0)),
    ];
    let measures = measures.concat();
    let imported = import_with(&measures, CodaIn::EveryChorus, UnknownChords::Silent).unwrap();
    assert_eq!(bars(&imported.chart), ["A | N.C. N.C. | C |"]);
    assert_eq!(imported.warnings.len(), 2);
    assert!(imported.warnings.iter().all(|told| told.starts_with("measure 1: ")));
}

//! Charts from MusicXML lead sheets. The sheets are invented for these tests.

use countoff::chart::{
    Chart, FeelName, ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource,
};
use countoff::codec::musicxml::read;
use countoff::units::Meter;

fn import(measures: &str) -> Result<ImportedChart, Vec<LeadSheetError>> {
    let xml = format!(
        "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Lead\
         </part-name></score-part></part-list><part id=\"P1\">{measures}</part></score-partwise>"
    );
    let sheet = read(xml.as_bytes()).unwrap();
    LeadSheetSource { name: "sheet", key: None, feel: FeelName::Swing, sheet: &sheet }.import()
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

#[test]
fn meters_and_chords_that_a_chart_cannot_hold_are_all_told() {
    let measures = [
        measure("1", &(attributes(7, 8) + &harmony("F", "Neapolitan", 0))),
        measure("2", &(attributes(4, 4) + FORWARD)),
    ];
    let errors = import(&measures.concat()).unwrap_err();
    let measures: Vec<_> = errors.iter().map(|error| error.measure.as_str()).collect();
    assert_eq!(measures, ["1", "1", "2"]);
    assert_eq!(errors[0].problem, LeadSheetProblem::Meter { beats: 7, beat_type: 8 });
    assert!(matches!(errors[1].problem, LeadSheetProblem::Chord(_)));
    assert!(errors[2].to_string().starts_with("measure 2: the repeat that begins here"));
}

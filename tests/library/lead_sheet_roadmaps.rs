//! The order of a lead sheet's measures, against the description of the elements `sound`, `repeat`
//! and `ending` in MusicXML 4.0 (<https://www.w3.org/2021/06/musicxml40/musicxml-reference/elements/sound/>):
//! D.C. and D.S. "the first time through", To Coda "the second time through", `time-only` changes
//! that, `after-jump` plays repeats again. The sheets are invented, the orders written by hand.

use countoff::chart::{
    Bar, CodaIn, FeelName, ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource,
    UnknownChords, one_chorus,
};
use countoff::codec::musicxml::{LeadSheet, read};
use countoff::units::{Meter, Meters};

/// What a measure of the sheets below says: its letter is its chord, words after it are signs.
fn sheet(measures: &str) -> String {
    let measure = |(index, words): (usize, &str)| {
        let mut words = words.split_whitespace();
        let chord = words.next().unwrap();
        let (mut before, mut after) = (String::new(), String::new());
        for word in words {
            let (name, value) = word.split_once('=').unwrap_or((word, ""));
            let sound = |sound: &str| format!("<direction><sound {sound}/></direction>");
            let ending = |location: &str, kind: &str, more: &str| {
                format!(
                    "<barline location=\"{location}\"><ending number=\"{value}\" type=\"{kind}\"/>\
                     {more}</barline>"
                )
            };
            let back =
                |more: &str| format!("<barline><repeat direction=\"backward\" {more}/></barline>");
            match name {
                "|:" => {
                    before += "<barline location=\"left\"><repeat direction=\"forward\"/></barline>"
                }
                ":|" => after += &back(""),
                ":|again" => after += &back("after-jump=\"yes\""),
                ":|times" => after += &back(&format!("times=\"{value}\"")),
                "[" => before += &ending("left", "start", ""),
                "]" => after += &ending("right", "stop", "<repeat direction=\"backward\"/>"),
                "/]" => after += &ending("right", "discontinue", ""),
                "segno" | "coda" => before += &sound(&format!("{name}=\"{value}\"")),
                "tocoda" | "dalsegno" => after += &sound(&format!("{name}=\"{value}\"")),
                "dacapo" | "fine" => after += &sound(&format!("{name}=\"yes\"")),
                "only" => {
                    after += &sound(&format!("dacapo=\"yes\" time-only=\"{value}\""));
                }
                "mark" => {
                    before += &format!(
                        "<direction><direction-type><rehearsal>{value}</rehearsal>\
                         </direction-type></direction>"
                    );
                }
                "tempo" => before += &sound(&format!("tempo=\"{value}\"")),
                "key" => {
                    before +=
                        &format!("<attributes><key><fifths>{value}</fifths></key></attributes>");
                }
                "meter" => {
                    before += &format!(
                        "<attributes><time><beats>{value}</beats><beat-type>4</beat-type></time>\
                         </attributes>"
                    );
                }
                "sign" => {
                    before += &format!(
                        "<direction><direction-type><{value}/></direction-type></direction>"
                    );
                }
                "words" => {
                    let value = value.replace('_', " ");
                    after += &format!(
                        "<direction><direction-type><words>{value}</words></direction-type>\
                         </direction>"
                    );
                }
                _ => panic!("{word}"),
            }
        }
        let number = index + 1;
        format!(
            "<measure number=\"{number}\"><attributes><divisions>1</divisions></attributes>{before}\
             <harmony><root><root-step>{chord}</root-step></root><kind>major</kind></harmony>\
             <note><rest/><duration>4</duration></note>{after}</measure>"
        )
    };
    let measures: String = measures.split(" | ").enumerate().map(measure).collect();
    format!("<score-partwise><part>{measures}</part></score-partwise>")
}

fn import(measures: &str, coda: CodaIn) -> Result<ImportedChart, Vec<LeadSheetError>> {
    import_sheet(&read(sheet(measures).as_bytes()).unwrap(), coda)
}

fn import_sheet(sheet: &LeadSheet, coda: CodaIn) -> Result<ImportedChart, Vec<LeadSheetError>> {
    let (name, feel, unknown_chords) = ("sheet", FeelName::Swing, UnknownChords::Refused);
    LeadSheetSource { name, key: None, feel, coda, unknown_chords, sheet }.import()
}

fn letters(bars: &[Bar]) -> String {
    bars.iter().map(|bar| bar.slots[0].chord.as_ref().unwrap().to_string()).collect()
}

/// Intro, a chorus, the last chorus and outro, each by the letters of its measures.
fn played(measures: &str, coda: CodaIn) -> [String; 4] {
    let chart = import(measures, coda).unwrap().chart;
    let roadmap = &chart.roadmap;
    let last = roadmap.last.as_deref().unwrap_or_default();
    [letters(&roadmap.intro), letters(&chart.bars), letters(last), letters(&roadmap.outro)]
}

#[test]
fn every_jump_is_played_as_it_is_described() {
    for (measures, order) in [
        ("C | D | E dacapo", "CDECDE"),
        ("C | D fine | E dacapo", "CDECD"),
        ("C | D segno=s | E dalsegno=s | F", "CDEDEF"),
        ("C | D segno=s | E fine | F dalsegno=s", "CDEFDE"),
        ("C | D tocoda=c | E dacapo | F coda=c | G", "CDECDFG"),
        ("C | D segno=s | E tocoda=c | F dalsegno=s | G coda=c", "CDEFDEG"),
        // Repeats come before a jump, and once after it, with their last ending.
        ("C |: | D :| | E dacapo", "CDCDECDE"),
        ("C |: | D :|again | E dacapo", "CDCDECDCDE"),
        ("C |: | D [=1 ]=1 | E [=2 /]=2 | F dacapo", "CDCEFCEF"),
        ("C |: | D :|times=3 | E", "CDCDCDE"),
        ("C |: | D :| dacapo | E", "CDCDCDE"),
        // A coda is played with its repeats.
        ("C tocoda=c | D dacapo | E coda=c |: | F :|", "CDCEFEF"),
        // Two segnos and two codas, told apart by name.
        (
            "C segno=1 | D tocoda=x | E dalsegno=1 | F coda=x segno=2 | G tocoda=y | A dalsegno=2 | B coda=y",
            "CDECDFGAFGB",
        ),
        // Twice back, by `time-only`.
        ("C | D only=1,2 | E", "CDCDCDE"),
    ] {
        assert_eq!(played(measures, CodaIn::EveryChorus)[1], order, "{measures}");
    }
}

/// Sheets written by hand, each with its order; music21 plays them so, too
/// (`tests/outside/check_roadmaps.py`).
#[test]
fn sheets_are_played_as_another_reader_plays_them() {
    let table = include_str!("../facts/roadmaps.tsv");
    let rows = table.lines().skip(1).map(|row| row.split('\t').collect::<Vec<_>>());
    for row in rows {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/facts/roadmaps");
        let sheet = read(&std::fs::read(format!("{folder}/{}.musicxml", row[0])).unwrap()).unwrap();
        let chart = import_sheet(&sheet, CodaIn::EveryChorus).unwrap().chart;
        assert_eq!(letters(&chart.bars), row[1], "{}", row[0]);
    }
}

#[test]
fn signs_and_words_alone_are_understood() {
    for (measures, order) in [
        ("C | D words=Fine | E words=D.C._al_Fine", "CDECD"),
        ("C sign=segno | D words=To_Coda | E words=D.S._al_Coda | F sign=coda", "CDECDF"),
        ("C | D | E sign=coda words=Da_Capo | F sign=coda", "CDECDF"),
    ] {
        assert_eq!(played(measures, CodaIn::EveryChorus)[1], order, "{measures}");
    }
}

/// The same bars in the same order, once through: intro, a chorus, the last chorus.
#[test]
fn a_coda_may_be_for_the_last_chorus() {
    let sheet = "C | D segno=s | E tocoda=c | F dalsegno=s | G coda=c";
    let in_every = played(sheet, CodaIn::EveryChorus);
    let in_last = played(sheet, CodaIn::LastChorus);
    assert_eq!(in_last, ["C", "DEF", "DEG", ""]);
    assert_eq!(in_last.concat(), in_every.concat());
    let imported = import(sheet, CodaIn::LastChorus).unwrap();
    let last = imported.chart.roadmap.last.unwrap();
    assert_eq!(last.iter().map(|bar| bar.form_bar).collect::<Vec<_>>(), [0, 1, 3]);
    assert_eq!(last[2].section.as_deref(), Some("coda"));
    let told = import(sheet, CodaIn::EveryChorus).unwrap().warnings;
    assert!(told.iter().any(|told| told.contains("coda = \"last chorus\"")), "{told:?}");
    // No jump back at all: the last time to the coda.
    let sheet = "C | D tocoda=c | E | F coda=c";
    assert_eq!(played(sheet, CodaIn::EveryChorus), ["", "CDE", "CDF", ""]);
}

#[test]
fn intro_and_outro_are_marked() {
    let sheet = "C mark=Intro | D mark=A | E | F mark=Outro | G";
    assert_eq!(played(sheet, CodaIn::EveryChorus), ["C", "DE", "", "FG"]);
    // What comes back is no intro.
    let sheet = "C mark=Intro | D mark=A | E dacapo";
    assert_eq!(played(sheet, CodaIn::EveryChorus)[0], "");
}

#[test]
fn key_meter_and_tempo_change_in_their_measures() {
    let sheet =
        "C key=0 tempo=120 | D key=2 tempo=60 | E meter=2 | F meter=4 key=0 tempo=120 dacapo";
    let chart = import(sheet, CodaIn::EveryChorus).unwrap().chart;
    let shown = |bar: &Bar| {
        let setting = bar.setting;
        format!("{} {} {}", setting.key, setting.meter, setting.pace)
    };
    let once = ["C 4/4 100%", "D 4/4 50%", "D 2/4 50%", "C 4/4 100%"];
    assert_eq!(chart.bars.iter().map(shown).collect::<Vec<_>>(), [once, once].concat());
    assert_eq!(chart.bars[2].slots[0].length, chart.bars[2].setting.meter.bar());
}

#[test]
fn a_way_that_leads_nowhere_is_told_with_its_measure() {
    for (measures, measure, problem) in [
        ("C | D dalsegno=s", "2", LeadSheetProblem::NoSegno),
        ("C dalsegno=s | D segno=s", "1", LeadSheetProblem::NoSegno),
        ("C segno=a | D segno=b | E dalsegno=c", "3", LeadSheetProblem::NoSegno),
        ("C tocoda=c | D dacapo", "1", LeadSheetProblem::NoCoda),
        ("C coda=c | D tocoda=c dacapo", "2", LeadSheetProblem::NoCoda),
        ("C | D dacapo | E coda=c", "3", LeadSheetProblem::NoWayToCoda),
    ] {
        let errors = import(measures, CodaIn::EveryChorus).unwrap_err();
        let found = errors.iter().any(|error| error.measure == measure && error.problem == problem);
        assert!(found, "{measures}: {errors:?}");
    }
    let told = import("C | D dacapo fine | E", CodaIn::EveryChorus).unwrap().warnings;
    assert!(told.iter().any(|told| told == "measure 3: no way leads through"), "{told:?}");
}

/// A line from the same file goes the same way; its notes are the roots of its measures.
#[test]
fn a_line_takes_the_way_of_its_chart() {
    let with_notes = |measures: &str| {
        let text = sheet(measures);
        let note = |letter: &str| {
            format!(
                "<note><pitch><step>{letter}</step><octave>4</octave></pitch><duration>4</duration></note>"
            )
        };
        let mut parts = text.split("<note><rest/><duration>4</duration></note>");
        let mut whole = String::new();
        for (measure, part) in measures.split(" | ").zip(parts.by_ref()) {
            whole += part;
            whole += &note(&measure[..1]);
        }
        whole + parts.next().unwrap()
    };
    for (measures, coda, order) in [
        ("C |: | D :| | E dacapo", CodaIn::EveryChorus, "CDCDECDE"),
        ("C | D segno=s | E tocoda=c | F dalsegno=s | G coda=c", CodaIn::EveryChorus, "CDEFDEG"),
        ("C | D segno=s | E tocoda=c | F dalsegno=s | G coda=c", CodaIn::LastChorus, "DEF"),
        ("C mark=Intro | D mark=A | E", CodaIn::EveryChorus, "DE"),
    ] {
        let chart = import(measures, coda).unwrap().chart;
        let line = read(with_notes(measures).as_bytes()).unwrap();
        let line = one_chorus(&line, &chart).unwrap();
        let melody = line.melody(Meters::constant(Meter::FourFour)).unwrap();
        let names = melody.notes.iter().map(|note| note.name.unwrap().to_string());
        assert_eq!(names.collect::<String>(), order, "{measures}");
        assert_eq!(letters(&chart.bars), order);
    }
}

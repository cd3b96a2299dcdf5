//! The order of a lead sheet's measures, against the description of the elements `sound`, `repeat`
//! and `ending` in MusicXML 4.0 (<https://www.w3.org/2021/06/musicxml40/musicxml-reference/elements/sound/>):
//! D.C. and D.S. "the first time through", To Coda "the second time through", `time-only` changes
//! that, `after-jump` plays repeats again. The sheets are invented, the orders written by hand.

use countoff::chart::{
    Bar, CodaIn, FeelName, ImportedChart, LeadSheetError, LeadSheetProblem, LeadSheetSource,
    UnknownChords,
};
use countoff::codec::musicxml::read;

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
    let sheet = read(sheet(measures).as_bytes()).unwrap();
    let (name, feel, unknown_chords) = ("sheet", FeelName::Swing, UnknownChords::Refused);
    LeadSheetSource { name, key: None, feel, coda, unknown_chords, sheet: &sheet }.import()
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
        "C key=0 tempo=120 | D key=2 tempo=60 | E meter=3 | F meter=4 key=0 tempo=120 dacapo";
    let chart = import(sheet, CodaIn::EveryChorus).unwrap().chart;
    let shown = |bar: &Bar| {
        let setting = bar.setting;
        format!("{} {} {}", setting.key, setting.meter, setting.pace)
    };
    let once = ["C 4/4 100%", "D 4/4 50%", "D 3/4 50%", "C 4/4 100%"];
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

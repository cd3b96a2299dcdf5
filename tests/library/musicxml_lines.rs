//! Lines in MusicXML: the first voice of a part, as it sounds.

use countoff::codec::musicxml::read;
use countoff::units::{Meter, Meters, Ticks};

/// A part for an instrument in B flat: pickup, two voices, a tie over the bar line, a triplet, an
/// accent, a grace note, a chord.
const PART: &str = r#"<score-partwise version="4.0"><part id="P1">
    <measure number="0" implicit="yes">
      <attributes><divisions>12</divisions><time><beats>4</beats><beat-type>4</beat-type></time>
        <transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>12</duration><voice>1</voice></note>
    </measure>
    <measure number="1">
      <note><grace/><pitch><step>C</step><octave>5</octave></pitch><voice>1</voice></note>
      <note><pitch><step>E</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice>
        <notations><articulations><accent/></articulations></notations></note>
      <note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>4</duration><voice>1</voice></note>
      <note><pitch><step>G</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice></note>
      <note><rest/><duration>24</duration><voice>1</voice></note>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>12</duration><tie type="start"/><voice>1</voice></note>
      <backup><duration>48</duration></backup>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>48</duration><voice>2</voice></note>
    </measure>
    <measure number="2">
      <direction><direction-type><dynamics><f/></dynamics></direction-type></direction>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>24</duration><tie type="stop"/><voice>1</voice></note>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>24</duration><voice>1</voice></note>
      <note><chord/><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>24</duration><voice>1</voice></note>
    </measure>
</part></score-partwise>"#;

#[test]
fn the_first_voice_is_read_as_it_sounds() {
    let melody = read(PART.as_bytes()).unwrap().melody(Meters::constant(Meter::FourFour)).unwrap();
    let notes: Vec<(i64, i64, u8, String)> = melody
        .notes
        .iter()
        .map(|note| (note.at.0, note.length.0, note.pitch, note.name.unwrap().to_string()))
        .collect();
    let expected = [
        (-960, 960, 72, "C"),
        (0, 320, 74, "D"),
        (320, 320, 76, "E"),
        (640, 320, 77, "F"),
        (2880, 2880, 72, "C"),
        (5760, 1920, 72, "C"),
        (5760, 1920, 76, "E"),
    ];
    assert_eq!(
        notes,
        expected.map(|(at, length, pitch, name)| (at, length, pitch, name.to_owned()))
    );
    assert_eq!((melody.pickup, melody.bars), (Ticks(960), 2));
    assert!(melody.notes[1].accent && melody.notes[1].loudness.is_none());
    assert_eq!(melody.notes[5].loudness.unwrap().get(), 96);
    assert_eq!(melody.warnings, ["measure 1: grace notes are not played"]);
}

#[test]
fn what_is_no_line_is_told_with_its_measure() {
    let told = |text: &str| {
        read(text.as_bytes())
            .unwrap()
            .melody(Meters::constant(Meter::FourFour))
            .unwrap_err()
            .to_string()
    };
    let short = PART.replacen("<duration>24</duration>", "<duration>18</duration>", 1);
    let short = short.replace("<duration>48</duration><voice>2", "<duration>42</duration><voice>2");
    assert!(
        told(&short).starts_with("measure 1: it is 3.5 quarter notes long"),
        "{}",
        told(&short)
    );
    let waltz = PART.replace("<beats>4</beats>", "<beats>3</beats>");
    assert!(told(&waltz).starts_with("measure 0: the meter is 3/4"));
}

#[test]
fn parts_that_are_not_read_are_told() {
    let told = |text: &str| {
        let sheet = read(text.as_bytes()).unwrap();
        sheet.melody(Meters::constant(Meter::FourFour)).unwrap().warnings
    };
    let one = told(PART);
    let second = r#"<part id="P2"><measure number="1"/></part></score-partwise>"#;
    let two = told(&PART.replace("</score-partwise>", second));
    assert!(!one.iter().any(|told| told.contains("part of the score")), "{one:?}");
    assert!(two.iter().any(|told| told.starts_with("only one part of the score")), "{two:?}");
}

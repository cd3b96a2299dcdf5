//! When every bar of a take begins, as a table for video editors.

use std::borrow::Cow;

use serde::Serialize;

use super::comments::timecode;
use super::manifest::{BarEntry, TakeEntry};
use crate::units::{Frames, SampleRate};

/// One row: a bar.
#[derive(Debug, Serialize)]
struct Row<'a> {
    /// Counted from 1, the count-in included.
    bar: usize,
    kind: &'a str,
    chorus: u32,
    /// The section that the bar belongs to.
    section: Cow<'a, str>,
    chords: Cow<'a, str>,
    key: Cow<'a, str>,
    bpm: Option<f64>,
    frame: u64,
    /// From the file's beginning, to a millionth.
    seconds: String,
    timecode: String,
}

/// The bars of a take as CSV (RFC 4180, with a first line of names, lines ending in a line feed):
/// the same frames as in the manifest. Chords are separated by spaces. `rate` is that of the take.
///
/// # Errors
/// Never for what a manifest holds; the form of the library asks for it.
pub fn bar_times(take: &TakeEntry, rate: SampleRate) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut section = "";
    for (index, bar) in take.bars.iter().enumerate() {
        section = section_of(bar, section);
        let at = Frames(bar.frame);
        let mut tempos = take.tempo_map.iter();
        table.serialize(Row {
            bar: index + 1,
            kind: &bar.kind,
            chorus: bar.chorus,
            section: as_text(section.into()),
            chords: as_text(bar.chords.join(" ").into()),
            key: as_text(bar.key.as_str().into()),
            bpm: tempos.rfind(|tempo| tempo.frame <= bar.frame).map(|tempo| tempo.bpm),
            frame: bar.frame,
            seconds: format!("{:.6}", at.seconds(rate)),
            timecode: timecode(at, rate),
        })?;
    }
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

/// A cell that no spreadsheet takes for a formula: one that begins as formulas do gets an apostrophe
/// before it (OWASP, "CSV Injection").
fn as_text(cell: Cow<'_, str>) -> Cow<'_, str> {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{cell}").into()
    } else {
        cell
    }
}

/// The section that a bar belongs to, after that of the bar before. Count-in, announcements and
/// endings belong to none.
fn section_of<'a>(bar: &'a BarEntry, before: &'a str) -> &'a str {
    match (&bar.section, bar.kind.as_str()) {
        (Some(section), _) => section,
        (None, "chorus" | "answer") => before,
        (None, _) => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deliver::TempoEntry;

    fn bar(frame: u64, kind: &str, section: Option<&str>, chords: &[&str]) -> BarEntry {
        BarEntry {
            frame,
            kind: kind.to_owned(),
            chorus: 1,
            section: section.map(str::to_owned),
            key: "Gm".to_owned(),
            chords: chords.iter().map(|chord| (*chord).to_owned()).collect(),
        }
    }

    #[test]
    fn every_bar_has_a_row() {
        let tempo = |frame, bpm| TempoEntry { frame, micros_per_quarter: 500_000, bpm };
        let take = TakeEntry {
            track: 1,
            name: "band".to_owned(),
            key: Some("Gm".to_owned()),
            rate: 44_100,
            tempo_map: vec![tempo(512, 120.0), tempo(176_912, 126.0)],
            bars: vec![
                bar(512, "count-in", None, &[]),
                bar(88_712, "chorus", Some("A, first time"), &["Am7b5", "D7b9"]),
                bar(176_912, "chorus", None, &["Gm6"]),
                bar(260_912, "ending", None, &["Gm6"]),
            ],
        };
        let text = String::from_utf8(bar_times(&take, SampleRate::Hz44100).unwrap()).unwrap();
        let expected = "\
bar,kind,chorus,section,chords,key,bpm,frame,seconds,timecode
1,count-in,1,,,Gm,120.0,512,0.011610,00:00:00.012
2,chorus,1,\"A, first time\",Am7b5 D7b9,Gm,120.0,88712,2.011610,00:00:02.012
3,chorus,1,\"A, first time\",Gm6,Gm,126.0,176912,4.011610,00:00:04.012
4,ending,1,,Gm6,Gm,126.0,260912,5.916372,00:00:05.916
";
        assert_eq!(text, expected);
    }

    #[test]
    fn a_section_that_looks_like_a_formula_is_a_text() {
        for formula in ["=HYPERLINK(\"http://x\")", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"] {
            let take = TakeEntry {
                track: 1,
                name: "band".to_owned(),
                key: None,
                rate: 44_100,
                tempo_map: Vec::new(),
                bars: vec![bar(512, "chorus", Some(formula), &["=1+1"])],
            };
            let bytes = bar_times(&take, SampleRate::Hz44100).unwrap();
            let mut table = csv::Reader::from_reader(bytes.as_slice());
            let row = table.records().next().unwrap().unwrap();
            assert_eq!((&row[3], &row[4]), (format!("'{formula}").as_str(), "'=1+1"));
        }
    }
}

//! The page as HTML.

use askama::Template;

use super::PageData;
use super::tracks::TrackData;
use crate::chart::{Bar, Chart, Roadmap};
use crate::deliver::Manifest;
use crate::lesson::{ChartId, Lesson};

/// The style sheet: what the page looks like on a screen, then on paper.
pub(super) const STYLE: &str = concat!(include_str!("page.css"), include_str!("paper.css"));

/// The scripts, in an order in which each may use those before it.
const SCRIPT: &str = concat!(
    include_str!("script/data.js"),
    include_str!("script/elements.js"),
    include_str!("script/chart.js"),
    include_str!("script/hand.js"),
    include_str!("script/notes.js"),
    include_str!("script/staves.js"),
    include_str!("script/voice.js"),
    include_str!("script/player.js"),
    include_str!("script/choose.js"),
    include_str!("script/place.js"),
    include_str!("script/transport.js"),
    include_str!("script/keys.js"),
    include_str!("script/main.js"),
);

/// Why a page cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// A template failed.
    #[error("the practice page cannot be made: {0}")]
    Template(#[from] askama::Error),
    /// The page's data cannot be written as JSON.
    #[error("the practice page cannot be made: {0}")]
    Data(#[from] serde_json::Error),
}

/// A lesson's page. Everything that it puts in is escaped by the template, but for style, script
/// and data, which are `safe`: the first two are ours, and [`json`] escapes the third.
#[derive(Template)]
#[template(path = "page.html", config = "src/page/askama.toml")]
struct Page<'a> {
    title: &'a str,
    teacher: Option<&'a str>,
    copyright: Option<&'a str>,
    groups: Vec<TrackGroup<'a>>,
    charts: Vec<ChartView>,
    /// Files that belong to the lesson as a whole.
    files: Vec<&'a str>,
    style: &'static str,
    script: &'static str,
    data: String,
}

/// Tracks under one heading, or under none.
struct TrackGroup<'a> {
    name: Option<&'a str>,
    tracks: &'a [TrackData],
}

fn group(tracks: &[TrackData]) -> TrackGroup<'_> {
    TrackGroup { name: tracks.first().and_then(|track| track.group.as_deref()), tracks }
}

/// A chart to be read without a script: one chorus in the key as written.
struct ChartView {
    name: String,
    about: String,
    lines: Vec<ChartLine>,
}

/// A few bars.
struct ChartLine {
    section: String,
    /// The chords of each bar.
    bars: Vec<Vec<String>>,
}

pub(super) fn lesson(
    lesson: &Lesson,
    manifest: &Manifest,
    data: &PageData,
) -> Result<String, PageError> {
    let used = |id: ChartId| {
        let is_shown = |number: u32| data.tracks.iter().any(|track| track.number == number);
        lesson.tracks.iter().any(|track| track.chart == id && is_shown(track.number))
    };
    let charts = lesson.charts().filter(|(id, _)| used(*id));
    // The page is in the archive, not the archive on the page.
    let outside = |purpose: &str| matches!(purpose, "zip" | "page");
    let files = manifest.files.iter();
    let of_lesson = files.filter(|(_, file)| file.take.is_none() && !outside(&file.purpose));
    let page = Page {
        title: &lesson.title,
        teacher: lesson.credits.teacher.as_deref(),
        copyright: lesson.credits.copyright.as_deref(),
        groups: data.tracks.chunk_by(|one, next| one.group == next.group).map(group).collect(),
        charts: charts.map(|(_, chart)| chart_view(chart)).collect(),
        files: of_lesson.map(|(path, _)| path.as_str()).collect(),
        style: STYLE,
        script: SCRIPT,
        data: json(data)?,
    };
    Ok(without_controls(page.render()?))
}

/// A page in which control characters, of which HTML allows none besides space (WHATWG HTML, 13.2.3.5
/// "Preprocessing the input stream"), are shown as what they are: no text.
pub(super) fn without_controls(page: String) -> String {
    let is_wrong = |sign: char| sign.is_control() && !matches!(sign, '\n' | '\r' | '\t');
    if page.contains(is_wrong) { page.replace(is_wrong, "\u{fffd}") } else { page }
}

/// JSON that may stand inside a `script` element: nothing in it can end the element.
fn json(data: &PageData) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string(data)?.replace('<', "\\u003c"))
}

fn chart_view(chart: &Chart) -> ChartView {
    let mut lines: Vec<ChartLine> = Vec::new();
    let Roadmap { intro, interlude, last, outro } = &chart.roadmap;
    let last = last.iter().flatten().enumerate().map(|(index, bar)| {
        let section = bar.section.as_deref().map(|section| match index {
            0 => format!("last chorus: {section}"),
            _ => section.to_owned(),
        });
        Bar { section, ..bar.clone() }
    });
    let all = intro.iter().chain(&chart.bars).chain(interlude).cloned().chain(last);
    for bar in all.chain(outro.iter().cloned()) {
        let is_full = lines.last().is_none_or(|line| line.bars.len() == 4);
        if is_full || bar.section.is_some() {
            let section = bar.section.clone().unwrap_or_default();
            lines.push(ChartLine { section, bars: Vec::new() });
        }
        let chords = bar.slots.iter().map(|slot| match &slot.chord {
            Some(chord) => chord.to_string(),
            None => "N.C.".to_owned(),
        });
        if let Some(line) = lines.last_mut() {
            line.bars.push(chords.collect());
        }
    }
    ChartView {
        name: chart.name.clone(),
        about: format!("{}, {}, {}", chart.key, chart.meter, chart.feel),
        lines,
    }
}

/// What a file is, by its ending, as a link says it.
fn kind(path: &str) -> &str {
    match path.rsplit_once('.').map(|(_, ending)| ending) {
        Some("mid") => "MIDI",
        Some("musicxml" | "mxl") => "notes",
        Some(ending) => ending,
        None => path,
    }
}

//! The notes of a lesson: which sheets there are, and what they are called.

use crate::codec::musicxml::score::Score;
use crate::deliver::{FileName, key_words, plain_words};
use crate::lesson::Lesson;
use crate::notation::{Heading, Reader, SheetError, hands, lead_sheet};
use crate::problem::InternalError;
use crate::theory::Key;
use crate::units::Bpm;

use super::TakePlan;

/// The folder of the notes in the set's folder: students find all sheets in one place, and can
/// print them at once.
const FOLDER: &str = "notes";
/// How the files' names end.
const EXTENSION: &str = "musicxml";

/// One sheet of notes to be written. It serves all tempos.
#[derive(Debug, Clone, PartialEq)]
pub struct NotesPlan {
    /// Its path from the set's folder, with `/` between folders.
    pub path: String,
    /// What stands above it.
    pub title: String,
    /// The key that sounds, where there is only one.
    pub key: Option<Key>,
    /// The tempos at which it is heard, in beats per minute.
    pub tempos: Vec<Bpm>,
    /// What is in it.
    pub kind: NotesKind,
}

/// What is in a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotesKind {
    /// What the hands play in a track.
    Hands {
        /// Index into [`Lesson::tracks`].
        track: usize,
        /// Index into [`Plan::takes`](super::Plan::takes): one of those that have these notes.
        take: usize,
    },
    /// A chart's chord symbols, with a line over them where there is one.
    LeadSheet {
        /// Index into [`Lesson::charts`].
        chart: usize,
        /// Index into [`Lesson::lines`].
        line: Option<usize>,
        /// The key that sounds.
        key: Key,
        /// Whom it is for.
        reader: Reader,
    },
}

impl NotesPlan {
    /// The path of the sheet as a picture.
    #[must_use]
    pub fn picture(&self) -> String {
        let stem = self.path.strip_suffix(EXTENSION).unwrap_or(&self.path);
        format!("{stem}svg")
    }

    /// Whom it is for.
    #[must_use]
    pub const fn reader(&self) -> Reader {
        match self.kind {
            NotesKind::Hands { .. } => Reader::Concert,
            NotesKind::LeadSheet { reader, .. } => reader,
        }
    }

    /// Its place in a handout: charts come first, then what the hands play, then lines.
    #[must_use]
    pub const fn place_in_handout(&self) -> u8 {
        match self.kind {
            NotesKind::LeadSheet { line: None, .. } => 0,
            NotesKind::Hands { .. } => 1,
            NotesKind::LeadSheet { line: Some(_), .. } => 2,
        }
    }

    /// Whether it is what the hands play in a take.
    #[must_use]
    pub(crate) fn is_of(&self, take: &TakePlan) -> bool {
        matches!(self.kind, NotesKind::Hands { track, .. } if track == take.track)
            && self.key == only_key(take)
    }

    /// The sheet's score.
    ///
    /// # Errors
    /// `lesson` and `takes` are not those that the sheet was planned for; or the sheet cannot be
    /// written, which is a fault of the program.
    pub fn score(&self, lesson: &Lesson, takes: &[TakePlan]) -> Result<Score, SheetError> {
        let heading = Heading {
            title: self.title.clone(),
            arranger: lesson.credits.teacher.clone(),
            rights: lesson.credits.copyright.clone(),
            tempos: self.tempos.clone(),
        };
        match self.kind {
            NotesKind::Hands { take, .. } => {
                let Some(take) = takes.get(take) else {
                    return Err(InternalError::new("a sheet is of a take that is not there").into());
                };
                let notes = &take.notes;
                Ok(hands(&notes.timeline, &notes.hands, notes.straight, &heading)?)
            }
            NotesKind::LeadSheet { chart, line, key, reader } => {
                let Some(chart) = lesson.charts.get(chart) else {
                    return Err(
                        InternalError::new("a sheet is of a chart that is not there").into()
                    );
                };
                let line = line.and_then(|line| lesson.lines.get(line));
                lead_sheet(chart, line, key, reader, &heading)
            }
        }
    }
}

/// All sheets for one kind of readers in one file, to be printed and handed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HandoutPlan {
    /// Its path in the set's folder.
    pub path: String,
    /// Whom it is for.
    pub reader: Reader,
}

/// The handouts of some sheets: one for each reader that has any.
pub(super) fn handouts(sheets: &[NotesPlan]) -> Vec<HandoutPlan> {
    let has_any = |reader: &Reader| sheets.iter().any(|sheet| sheet.reader() == *reader);
    let readers = Reader::ALL.into_iter().filter(has_any);
    let handout = |reader: Reader| HandoutPlan {
        path: match reader {
            Reader::Concert => "handout.pdf".to_owned(),
            _ => format!("handout_{}.pdf", reader.name()),
        },
        reader,
    };
    readers.map(handout).collect()
}

/// All sheets of the planned takes: first what the hands play, then the lead sheets, by chart and
/// line; each by key.
pub(super) fn notes(lesson: &Lesson, takes: &[TakePlan]) -> Vec<NotesPlan> {
    let mut sheets: Vec<NotesPlan> = Vec::new();
    for (index, take) in takes.iter().enumerate() {
        sheets.extend(hands_sheet(lesson, index, take));
        sheets.extend(lead_sheets(lesson, take));
    }
    sheets.sort_by(|one, other| one.place().cmp(&other.place()));
    // Takes that differ in tempo only, and tracks over one chart, share their sheets.
    sheets.dedup_by(|next, first| {
        let is_same = next.path == first.path;
        if is_same {
            first.tempos.append(&mut next.tempos);
        }
        is_same
    });
    for sheet in &mut sheets {
        sheet.tempos.sort_by(|one, other| one.get().total_cmp(&other.get()));
        sheet.tempos.dedup();
    }
    sheets
}

impl NotesPlan {
    /// The order of the sheets. Those of one path come together.
    fn place(&self) -> (bool, &str) {
        (matches!(self.kind, NotesKind::LeadSheet { .. }), &self.path)
    }
}

fn hands_sheet(lesson: &Lesson, index: usize, take: &TakePlan) -> Option<NotesPlan> {
    let has_notes = take.notes.hands.iter().any(|part| !part.notes.is_empty());
    if !has_notes || !lesson.notes.contains(&Reader::Concert) {
        return None;
    }
    let track = lesson.tracks.get(take.track)?;
    let key = only_key(take);
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let name = FileName {
        track: count(track.number),
        tracks: count(lesson.tracks.len()),
        title: track.name.clone(),
        key,
        ..FileName::default()
    };
    let chart = lesson.charts.get(track.chart).map_or("", |chart| chart.name.as_str());
    let in_key = key.map_or_else(String::new, |key| format!(", in {}", printed(key)));
    Some(NotesPlan {
        path: format!("{FOLDER}/{}.{EXTENSION}", name.stem()),
        title: format!("{}: {chart}{in_key}", track.name),
        key,
        tempos: vec![take.tempo],
        kind: NotesKind::Hands { track: take.track, take: index },
    })
}

/// Of every key that a take goes through, for every reader.
fn lead_sheets(lesson: &Lesson, take: &TakePlan) -> Vec<NotesPlan> {
    let Some(track) = lesson.tracks.get(take.track) else { return Vec::new() };
    let (chart, line) = (track.chart, track.line);
    let chart_names: Vec<&str> = lesson.charts.iter().map(|chart| chart.name.as_str()).collect();
    let line_names: Vec<&str> = lesson.lines.iter().map(|line| line.name.as_str()).collect();
    let (names, index, what) = match line {
        Some(line) => (line_names, line, "line"),
        None => (chart_names, chart, "chart"),
    };
    let Some(name) = names.get(index) else { return Vec::new() };
    let words = words_among(&names, index);
    let sheet = |(key, reader): (Key, Reader)| {
        let (of_file, of_title) = match reader {
            Reader::Concert => (String::new(), String::new()),
            _ => (format!("_{}", reader.name()), format!(", {}", reader.title().unwrap_or(""))),
        };
        NotesPlan {
            path: format!("{FOLDER}/{what}-{words}_{}{of_file}.{EXTENSION}", key_words(key)),
            title: format!("{name} in {}{of_title}", printed(key)),
            key: Some(key),
            tempos: vec![take.tempo],
            kind: NotesKind::LeadSheet { chart, line, key, reader },
        }
    };
    let readers = |key: Key| lesson.notes.iter().map(move |reader| (key, *reader));
    keys(take).into_iter().flat_map(readers).map(sheet).collect()
}

/// The keys that a take goes through, in order, each once.
fn keys(take: &TakePlan) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    for bar in &take.notes.timeline.bars {
        if !keys.contains(&bar.key) {
            keys.push(bar.key);
        }
    }
    keys
}

/// The key of a take that stays in one.
fn only_key(take: &TakePlan) -> Option<Key> {
    match keys(take)[..] {
        [key] => Some(key),
        _ => None,
    }
}

/// A name in plain words, with a number where an earlier one has the same.
fn words_among(names: &[&str], index: usize) -> String {
    let Some(name) = names.get(index) else { return String::new() };
    let words = plain_words(name);
    let earlier = names[..index].iter().filter(|name| plain_words(name) == words).count();
    if earlier == 0 { words } else { format!("{words}-{}", earlier + 1) }
}

/// A key with the signs of music, as it is printed.
fn printed(key: Key) -> String {
    key.to_string().replace('b', "\u{266d}").replace('#', "\u{266f}")
}

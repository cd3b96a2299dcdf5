//! The notes of a lesson: which sheets there are, and what they are called.

use crate::codec::musicxml::score::Score;
use crate::deliver::{FileName, key_words, plain_words};
use crate::lesson::{ChartId, Lesson, LineId, Track};
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
        /// The chart.
        chart: ChartId,
        /// The line, where there is one.
        line: Option<LineId>,
        /// Index into [`Plan::takes`](super::Plan::takes): one of those with this line, or with no
        /// line, over the chart.
        take: usize,
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

    /// Its place in a handout: charts come first, then what the hands play, then lines; each in
    /// the lesson's order.
    #[must_use]
    pub fn place_in_handout(&self) -> impl Ord + use<> {
        match self.kind {
            NotesKind::LeadSheet { line: None, chart, .. } => (0, Some(chart), 0, None),
            NotesKind::Hands { track, .. } => (1, None, track, None),
            NotesKind::LeadSheet { line, .. } => (2, None, 0, line),
        }
    }

    /// Whether it is what the hands play in a take.
    #[must_use]
    pub(crate) fn is_of(&self, take: &TakePlan) -> bool {
        matches!(self.kind, NotesKind::Hands { track, .. } if track == take.track)
            && self.key == only_key(take)
    }

    /// The sheet's score. `takes` are those of its plan.
    ///
    /// # Errors
    /// `takes` are not those that the sheet was planned for; or the sheet cannot be written, which is
    /// a fault of the program.
    pub fn score(&self, lesson: &Lesson, takes: &[TakePlan]) -> Result<Score, SheetError> {
        let heading = Heading {
            title: self.title.clone(),
            arranger: lesson.credits.teacher.clone(),
            rights: lesson.credits.copyright.clone(),
            tempos: self.tempos.clone(),
        };
        let (NotesKind::Hands { take, .. } | NotesKind::LeadSheet { take, .. }) = self.kind;
        let missing = || InternalError::new("a sheet is of a take that is not there");
        let notes = &takes.get(take).ok_or_else(missing)?.notes;
        match self.kind {
            NotesKind::Hands { .. } => {
                Ok(hands(&notes.timeline, &notes.hands, notes.straight, &heading)?)
            }
            NotesKind::LeadSheet { chart, line, key, reader, .. } => {
                let name = line.map(|line| lesson.line(line).name.as_str());
                let planned = notes.lines.iter().map(|heard| &heard.planned.line);
                let line = planned.into_iter().find(|line| Some(line.name.as_str()) == name);
                lead_sheet(lesson.chart(chart), line, key, reader, &heading)
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
        let track = &lesson.tracks[take.track];
        sheets.extend(hands_sheet(lesson, track, index, take));
        sheets.extend(lead_sheets(lesson, track, index, take));
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

fn hands_sheet(lesson: &Lesson, track: &Track, index: usize, take: &TakePlan) -> Option<NotesPlan> {
    let has_notes = take.notes.hands.iter().any(|part| !part.notes.is_empty());
    if !has_notes || !lesson.notes.contains(&Reader::Concert) {
        return None;
    }
    let key = only_key(take);
    let name = FileName {
        track: track.number,
        tracks: lesson.track_count(),
        title: track.name.clone(),
        key,
        ..FileName::default()
    };
    let chart = &lesson.chart(track.chart).name;
    let in_key = key.map_or_else(String::new, |key| format!(", in {}", printed(key)));
    Some(NotesPlan {
        path: format!("{FOLDER}/{}.{EXTENSION}", name.stem()),
        title: format!("{}: {chart}{in_key}", track.name),
        key,
        tempos: vec![take.tempo],
        kind: NotesKind::Hands { track: take.track, take: index },
    })
}

/// The chart, and the line where there is one, of every key that a take goes through, for every
/// reader.
fn lead_sheets(lesson: &Lesson, track: &Track, index: usize, take: &TakePlan) -> Vec<NotesPlan> {
    let lines = std::iter::once(None).chain(track.lines().map(Some));
    lines.flat_map(|line| lead_sheets_of(lesson, (track.chart, line), index, take)).collect()
}

fn lead_sheets_of(
    lesson: &Lesson,
    (chart, line): (ChartId, Option<LineId>),
    index: usize,
    take: &TakePlan,
) -> Vec<NotesPlan> {
    let (name, words, what) = match line {
        Some(line) => {
            let name = &lesson.line(line).name;
            let earlier = lesson.lines().take_while(|(id, _)| *id != line);
            (name, words_after(name, earlier.map(|(_, line)| &line.name)), "line")
        }
        None => {
            let name = &lesson.chart(chart).name;
            let earlier = lesson.charts().take_while(|(id, _)| *id != chart);
            (name, words_after(name, earlier.map(|(_, chart)| &chart.name)), "chart")
        }
    };
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
            kind: NotesKind::LeadSheet { chart, line, take: index, key, reader },
        }
    };
    let readers = |key: Key| lesson.notes.iter().map(move |reader| (key, *reader));
    keys(take).into_iter().flat_map(readers).map(sheet).collect()
}

/// The keys that a take goes through, in order, each once.
fn keys(take: &TakePlan) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    for bar in &take.notes.timeline.bars {
        if !keys.contains(&bar.home) {
            keys.push(bar.home);
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
fn words_after<'a>(name: &str, earlier: impl Iterator<Item = &'a String>) -> String {
    let words = plain_words(name);
    let earlier = earlier.filter(|name| plain_words(name) == words).count();
    if earlier == 0 { words } else { format!("{words}-{}", earlier + 1) }
}

/// A key with the signs of music, as it is printed.
fn printed(key: Key) -> String {
    key.to_string().replace('b', "\u{266d}").replace('#', "\u{266f}")
}

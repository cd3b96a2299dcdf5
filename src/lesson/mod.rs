//! The lesson: what a teacher asks for, read, checked and made whole.
//!
//! `file` is what people type, with its defaults; [`Lesson`] is what the program needs. Between
//! them stands [`Lesson::read`], which finds all that is wrong at once and points at it.

#[cfg(test)]
mod agreement;
mod changes;
mod charts;
mod checker;
mod file;
mod ids;
mod lines;
#[cfg(test)]
mod mistakes;
mod mixes;
#[cfg(test)]
mod tests;
mod tracks;

use std::num::NonZeroU32;
use std::ops::{Range, RangeInclusive};
use std::sync::LazyLock;

use schemars::Schema;
use toml::de::DeTable;

use crate::arrange::{Ending, Intro, Shape};
use crate::chart::Chart;
use crate::codec::wav::SampleFormat;
use crate::compose::Request;
use crate::deliver::Container;
use crate::engrave::pages::Paper;
use crate::mix::{Balance, LevelRule};
use crate::notation::Reader;
use crate::part::click::ClickPattern;
use crate::part::line::LineNote;
use crate::part::{EnergyArc, Hand};
use crate::performance::{Instrument, Part};
use crate::problem::{Problem, ProblemList, Problems, of_error};
use crate::random::Seed;
use crate::schema::{of_toml, read_what_is_right};
use crate::style::{Intensity, Library, Start};
use crate::theory::Key;
use crate::units::{Bpm, SampleRate};

pub use changes::{Change, Scope};
use checker::Checker;
pub use checker::{HOW_TO_BUILD, NOT_BUILT};
use file::LessonFile;
pub use ids::{ChartId, LineId};

static SCHEMA: LazyLock<Schema> = LazyLock::new(|| of_toml::<LessonFile>("A Countoff lesson"));

/// The version of the lesson format that this program reads.
const FORMAT: &str = "1";

/// A checked lesson: every name in it stands for something that exists.
#[derive(Debug, Clone)]
pub struct Lesson {
    /// What students read.
    pub title: String,
    /// Who, when, whose: for the tags.
    pub credits: Credits,
    /// A SoundFont in place of the embedded one, relative to the lesson.
    pub soundfont: Option<String>,
    /// The seed of every random choice.
    pub seed: Seed,
    /// Bars of count-in; by tempo and meter where it is not said.
    pub count_in_bars: Option<u8>,
    /// How the click goes.
    pub click: ClickPattern,
    /// Target loudness in LUFS.
    pub loudness_target: f64,
    /// Whether all mixes of a take are levelled alike.
    pub level: LevelRule,
    /// The formats in which every mix is made, in order, none twice.
    pub formats: Vec<Container>,
    /// Whether a table of the times at which bars begin goes with every take.
    pub bar_times: bool,
    /// Whether the whole set is also given as one `.zip`.
    pub zip: bool,
    /// Sample format of the files.
    pub samples: SampleFormat,
    /// Frames a second.
    pub rate: SampleRate,
    /// Whom notes are written for; nobody gets notes where it is empty.
    pub notes: Vec<Reader>,
    /// The paper of the handouts.
    pub paper: Paper,
    charts: Vec<Chart>,
    lines: Vec<LineSpec>,
    /// All tracks, in the order of the file.
    pub tracks: Vec<Track>,
    /// What the teacher should know of, though nothing is wrong.
    pub warnings: Vec<String>,
}

/// Whose lesson it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Credits {
    /// Who teaches.
    pub teacher: Option<String>,
    /// The year.
    pub year: Option<u16>,
    /// The copyright line.
    pub copyright: Option<String>,
}

/// A line over a chart; a line that is to be composed has no notes yet.
#[derive(Debug, Clone, PartialEq)]
pub struct LineSpec {
    /// Its name: the entry's and, where that makes several, a number.
    pub name: String,
    /// The name of the entry that makes it.
    pub entry: String,
    /// The chart that it goes over, in that chart's key.
    pub chart: ChartId,
    /// The hand that plays it.
    pub hand: Hand,
    /// What it is played on, where that is said, and the bytes of the lesson that say so; otherwise
    /// the piano.
    pub instrument: Option<(Instrument, Range<usize>)>,
    /// The notes between which it stays, as MIDI numbers, where that is said.
    pub range: Option<RangeInclusive<u8>>,
    /// Where its notes come from.
    pub notes: LineNotes,
}

/// Where the notes of a line come from.
#[derive(Debug, Clone, PartialEq)]
pub enum LineNotes {
    /// The teacher wrote them.
    Written(Vec<LineNote>),
    /// They are to be composed.
    ToCompose(Request),
}

/// An entry of the lesson that gives files for every key and tempo asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Its place in the set, counted from 1: that of its entry, unless an exercise book before it
    /// gives several.
    pub number: u32,
    /// The name that students read.
    pub name: String,
    /// The heading that it stands under on the practice page.
    pub group: Option<String>,
    /// The chart that it plays.
    pub chart: ChartId,
    /// The line over it.
    pub line: Option<LineId>,
    /// A line for the left hand, which plays in place of a comp style.
    pub left_hand: Option<LineId>,
    /// The comp style's name.
    pub comp: Option<String>,
    /// The bass style's name.
    pub bass: Option<String>,
    /// The drum style's name.
    pub drums: Option<String>,
    /// How full the drums are.
    pub intensity: Intensity,
    /// How the band's energy goes over the choruses.
    pub arc: EnergyArc,
    /// Where somebody plays otherwise, or rests.
    pub changes: Vec<Change>,
    /// The reach of a hand in semitones; the style's where it is not said.
    pub reach: Option<u8>,
    /// Which degree lies lowest in the first chord; the style's choice where it is not said.
    pub start: Option<Start>,
    /// How often the form is played.
    pub choruses: NonZeroU32,
    /// What comes before the first chorus.
    pub intro: Intro,
    /// How the last chorus ends.
    pub ending: Ending,
    /// What a student practises with it.
    pub shape: Shape,
    /// At which tempos; one that stands for all where the shape has tempos of its own.
    pub tempos: Vec<Bpm>,
    /// The performance tempo, where the others are practice tempos below it.
    pub at_tempo: Option<Bpm>,
    /// In which keys; the first where the shape goes through keys of its own.
    pub keys: Vec<Key>,
    /// What is heard together: at least one mix, then the stems, where they are asked for.
    pub mixes: Vec<Mix>,
}

/// A named set of parts heard together.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// What the file's name says of it: empty for everything, otherwise such as `without bass`.
    pub label: String,
    /// The players that are heard.
    pub parts: Vec<Part>,
    /// Whether a click goes along.
    pub click: bool,
    /// Whether the band is counted in.
    pub count_in: bool,
    /// One part to one side, the rest to the other.
    pub balance: Option<Balance>,
    /// Whether it is a stem: at the gain of the mixes, without a limiter, so that the stems sum to
    /// the mix before its limiter.
    pub stem: bool,
}

/// The files beside a lesson, by the paths that the lesson has for them.
pub trait Neighbours {
    /// The bytes of a file that the lesson names, relative to the lesson's folder.
    ///
    /// # Errors
    /// It is not there, or cannot be read.
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>>;
}

/// No files: for a lesson that was not read from a disk.
#[derive(Debug, Clone, Copy)]
pub struct NoNeighbours;

impl Neighbours for NoNeighbours {
    fn read(&self, _: &str) -> std::io::Result<Vec<u8>> {
        Err(std::io::ErrorKind::NotFound.into())
    }
}

impl Lesson {
    /// The longest text of a lesson, in bytes. A line of a hundred bars has some thousands.
    pub const MOST_BYTES: usize = 1 << 20;

    /// Reads and checks a lesson file. Nothing is composed yet: that is for whoever needs the notes.
    ///
    /// `name` is what messages call the file; `neighbours` gives the files that it names; `library`
    /// holds the styles it may use (see [`Lesson::styles_folder`]).
    ///
    /// # Errors
    /// What is wrong, each with its place.
    pub fn read(
        name: &str,
        text: &str,
        neighbours: &dyn Neighbours,
        library: &Library,
    ) -> Result<Lesson, Problems> {
        if text.len() > Self::MOST_BYTES {
            let message = format!("the lesson is larger than {} bytes", Self::MOST_BYTES);
            let help = "make several lessons of it, and a course of them";
            return Err(ProblemList::from(Problem::new(message, 0..0).help(help)).of_file(name, ""));
        }
        let wrong = |problem: Problem| ProblemList::from(problem).of_file(name, text);
        let table = DeTable::parse(text).map_err(|error| wrong(of_error(&error)))?;
        if let Some(problem) = another_format(table.get_ref()) {
            return Err(wrong(problem));
        }
        let reading = read_what_is_right(text, table, SCHEMA.as_value());
        let checker = Checker::new(text, neighbours, library, reading.problems);
        checker.lesson(reading.value).map_err(|problems| problems.of_file(name, text))
    }

    /// The JSON schema of a lesson file.
    #[must_use]
    pub fn schema() -> Schema {
        SCHEMA.clone()
    }

    /// The folder with the user's own styles that a lesson's text names, relative to the lesson,
    /// if it names one. Reads nothing else of it, so that the styles can be at hand when the
    /// lesson is checked.
    #[must_use]
    pub fn styles_folder(text: &str) -> Option<String> {
        let table: toml::Table = text.parse().ok()?;
        table.get("styles")?.as_str().map(str::to_owned)
    }
}

/// Of a file of another format nothing else is looked at: it would only mislead.
fn another_format(file: &DeTable<'_>) -> Option<Problem> {
    let format = file.get("format")?;
    let number = format.get_ref().as_integer()?.as_str();
    let message = format!("this lesson is of format {number}, which this program does not read");
    (number != FORMAT)
        .then(|| Problem::new(message, format.span()).help(format!("write `format = {FORMAT}`")))
}

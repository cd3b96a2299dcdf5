//! The lesson: what a teacher asks for, read, checked and made whole.
//!
//! [`file`] is what people type, with its defaults; [`Lesson`] is what the program needs. Between
//! them stands [`Lesson::read`], which finds all that is wrong at once and points at it.

mod book;
mod charts;
mod checker;
mod explained;
pub mod file;
mod files;
mod lines;
#[cfg(test)]
mod mistakes;
mod mixes;
mod places;
mod practice;
#[cfg(test)]
mod tests;
mod tracks;

use crate::arrange::{Ending, Shape};
use crate::chart::Chart;
use crate::codec::wav::SampleFormat;
use crate::deliver::Container;
use crate::engrave::pages::Paper;
use crate::mix::{Balance, LevelRule};
use crate::notation::Reader;
use crate::part::Part;
use crate::part::click::ClickPattern;
use crate::part::line::Line;
use crate::problem::Problems;
use crate::schema::read_toml;
use crate::style::{Intensity, Library, Start};
use crate::theory::Key;
use crate::units::{Bpm, SampleRate};

pub use book::Origin;
use checker::Checker;
use file::LessonFile;
pub use files::{HOW_TO_BUILD, NOT_BUILT};

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
    pub seed: u64,
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
    /// All charts, as written.
    pub charts: Vec<Chart>,
    /// All lines, in the order of the file.
    pub lines: Vec<Line>,
    /// What each of the lines goes over and shows, in the same order.
    pub origins: Vec<Origin>,
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

/// An entry of the lesson that gives files for every key and tempo asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Its place in the set, counted from 1: that of its entry, unless an exercise book before it
    /// gives several.
    pub number: usize,
    /// The name that students read.
    pub name: String,
    /// The heading that it stands under on the practice page.
    pub group: Option<String>,
    /// Index into [`Lesson::charts`].
    pub chart: usize,
    /// Index into [`Lesson::lines`].
    pub line: Option<usize>,
    /// A line for the left hand, which plays in place of a comp style: index into
    /// [`Lesson::lines`].
    pub left_hand: Option<usize>,
    /// The comp style's name.
    pub comp: Option<String>,
    /// The bass style's name.
    pub bass: Option<String>,
    /// The drum style's name.
    pub drums: Option<String>,
    /// How full the drums are.
    pub intensity: Intensity,
    /// The reach of a hand in semitones; the style's where it is not said.
    pub reach: Option<u8>,
    /// Which degree lies lowest in the first chord; the style's choice where it is not said.
    pub start: Option<Start>,
    /// How often the form is played.
    pub choruses: u32,
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

/// The files beside a lesson: its door to the disk.
pub trait Neighbours {
    /// The bytes of a file that the lesson names, relative to the lesson's folder.
    ///
    /// # Errors
    /// It is not there, or cannot be read.
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>>;
}

/// Nothing lies beside a lesson that is no file.
#[derive(Debug, Clone, Copy)]
pub struct NoNeighbours;

impl Neighbours for NoNeighbours {
    fn read(&self, _: &str) -> std::io::Result<Vec<u8>> {
        Err(std::io::ErrorKind::NotFound.into())
    }
}

impl Lesson {
    /// Reads and checks a lesson file.
    ///
    /// `name` is what messages call the file; `neighbours` gives the files that it names; `library` holds the styles it may use (see [`Lesson::styles_folder`]).
    ///
    /// # Errors
    /// All that is wrong, each with its place.
    pub fn read(
        name: &str,
        text: &str,
        neighbours: &dyn Neighbours,
        library: &Library,
    ) -> Result<Lesson, Problems> {
        let wrong = |problems| Problems { name: name.to_owned(), text: text.into(), problems };
        let file: LessonFile = read_toml(text).map_err(wrong)?;
        Checker::new(text, neighbours, library).lesson(file).map_err(wrong)
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

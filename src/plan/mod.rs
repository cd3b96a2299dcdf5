//! A lesson becomes takes and files: everything that is decided before a sound is made.

mod cast;
mod colour;
mod depends;
mod files;
mod lines;
mod notes;
mod players;
mod share;
mod take;

pub use cast::HeardLine;
pub use depends::{Code, Depends, SoundHashes};
pub use files::SoundPlan;
pub use lines::PlannedLine;
pub use notes::{HandoutPlan, NotesKind, NotesPlan};
pub use players::{Players, PlayersChange};
pub use share::share;
pub use take::{LEAD_IN, TakeError, TakeNotes, take_notes};

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::arrange::ArrangeError;
use crate::deliver::{DeliverError, NameRegister, SoundFile, plain_words};
use crate::lesson::{Lesson, Track};
use crate::mix::LONGEST_TAIL_SECONDS;
use crate::performance::Instrument;
use crate::problem::InternalError;
use crate::style::{Library, StyleError, UnknownStyle};
use crate::theory::Key;
use crate::units::{Bpm, Frames, SampleRate};

use files::Files;
use lines::Lines;

/// The most sound and MIDI files of a set. The notes of all its takes are in memory at once; a
/// teacher's largest sets have some thousands (our choice).
pub const MOST_FILES: usize = 30_000;

/// Everything that a lesson asks for, down to the notes and the names of the files.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The takes, in the order of the lesson: by track, then key, then tempo.
    pub takes: Vec<TakePlan>,
    /// The notes for students to read.
    pub notes: Vec<NotesPlan>,
    /// The same to be printed.
    pub handouts: Vec<HandoutPlan>,
    /// The path of the `.zip` of the set, where one is asked for.
    pub archive: Option<String>,
    /// What had to give way, in words for the teacher.
    pub warnings: Vec<String>,
}

/// One performance, and the files that it becomes.
#[derive(Debug, Clone)]
pub struct TakePlan {
    /// A name that no other take of the lesson has: that of its files, without the mix.
    pub name: String,
    /// Index into [`Lesson::tracks`].
    pub track: usize,
    /// The key it begins in.
    pub key: Key,
    /// The tempo it begins at.
    pub tempo: Bpm,
    /// The notes.
    pub notes: TakeNotes,
    /// The sound files: every mix in every format, those of one mix beside each other.
    pub sounds: Vec<SoundPlan>,
    /// The path of the MIDI file, from the set's folder, with `/` between folders.
    pub midi: String,
    /// The path of the table of bar times, where one is asked for.
    pub bar_times: Option<String>,
}

/// Why a lesson cannot be planned.
#[derive(Debug, thiserror::Error, miette::Diagnostic)]
pub enum PlanError {
    /// A style is not there.
    #[error(transparent)]
    #[diagnostic(transparent)]
    UnknownStyle(#[from] UnknownStyle),
    /// A style's file is wrong.
    #[error(transparent)]
    #[diagnostic(transparent)]
    Style(#[from] StyleError),
    /// A practice shape cannot be made of a chart.
    #[error("track {number}, {name}: {source}")]
    Shape {
        /// The track's number.
        number: u32,
        /// Its name.
        name: String,
        /// Why not.
        source: ArrangeError,
    },
    /// A file would be longer than its format can hold.
    #[error("track {number}, {name}: {source}")]
    TooLong {
        /// The track's number.
        number: u32,
        /// Its name.
        name: String,
        /// What the format holds.
        source: DeliverError,
    },
    /// Two files would have one name.
    #[error(transparent)]
    Name(#[from] DeliverError),
    /// The set would have more files than [`MOST_FILES`].
    #[error(
        "the lesson asks for {files} files, and {MOST_FILES} is the most: name fewer keys, tempos or \
         mixes, or make several lessons of it, and a course of them"
    )]
    TooMany {
        /// How many it asks for.
        files: usize,
    },
    /// A composed line has no notes.
    #[error(
        "the composed line {0} has no notes: its chart needs a chord in the bars that it is limited to"
    )]
    NoNotes(String),
    /// A fault of the program.
    #[error(transparent)]
    Internal(#[from] InternalError),
}

impl Plan {
    /// Plans all tracks of a lesson for which `wanted` holds.
    ///
    /// # Errors
    /// A style cannot be read, a practice shape cannot be arranged, a file would be longer than its
    /// format can hold, or two would have the same name.
    pub fn of(
        lesson: &Lesson,
        library: &Library,
        wanted: impl Fn(&Track) -> bool,
    ) -> Result<Plan, PlanError> {
        let files = lesson.tracks.iter().filter(|track| wanted(track)).map(|track| {
            let of_take = track.mixes.len() * lesson.formats.len() + 1;
            track.keys.len() * track.tempos.len() * of_take
        });
        let files = files.sum();
        if files > MOST_FILES {
            return Err(PlanError::TooMany { files });
        }
        let lines = Lines::of(lesson, lesson.tracks.iter().filter(|track| wanted(track)))?;
        let mut cells = Vec::new();
        let mut players = Vec::new();
        for (index, track) in lesson.tracks.iter().enumerate().filter(|(_, track)| wanted(track)) {
            players.push(Players::with(&lines, track, library)?);
            for key in &track.keys {
                cells.extend(
                    track.tempos.iter().map(|tempo| (index, players.len() - 1, *key, *tempo)),
                );
            }
        }
        let takes = cells
            .into_par_iter()
            .map(|(track, players_index, key, tempo)| {
                TakePlan::of(lesson, track, &players[players_index], key, tempo)
            })
            .collect::<Result<Vec<TakePlan>, PlanError>>()?;
        let mut register = NameRegister::default();
        for take in &takes {
            for path in take.paths() {
                register.claim(path, &lesson.tracks[take.track].name)?;
            }
        }
        let notes = notes::notes(lesson, &takes);
        for sheet in &notes {
            register.claim(&sheet.path, &sheet.title)?;
        }
        let handouts = notes::handouts(&notes);
        let archive = lesson.zip.then(|| format!("{}.zip", plain_words(&lesson.title)));
        let mut warnings = lines.warnings(lesson);
        warnings.extend(warnings_of_takes(lesson, &takes));
        Ok(Plan { takes, notes, handouts, archive, warnings })
    }

    /// The instruments that all takes together need, in order.
    #[must_use]
    pub fn instruments(&self) -> Vec<Instrument> {
        let instruments: BTreeSet<Instrument> =
            self.takes.iter().flat_map(TakePlan::instruments).collect();
        instruments.into_iter().collect()
    }
}

impl TakePlan {
    /// The paths of all its files.
    pub fn paths(&self) -> impl Iterator<Item = &String> {
        self.sounds.iter().map(|sound| &sound.path).chain([&self.midi]).chain(&self.bar_times)
    }

    /// The instruments that it needs, in order.
    #[must_use]
    pub fn instruments(&self) -> BTreeSet<Instrument> {
        self.notes.performance.parts.iter().map(|part| part.instrument).collect()
    }

    /// The sound files of each mix.
    pub fn mixes(&self) -> impl Iterator<Item = &[SoundPlan]> {
        self.sounds.chunk_by(|one, other| one.mix == other.mix)
    }

    /// How long it is, without what rings after its end.
    #[must_use]
    pub fn frames(&self, rate: SampleRate) -> Frames {
        let timeline = &self.notes.timeline;
        timeline.tempo.frame(timeline.end, rate)
    }

    /// How much work it is, in frames of audio to be written or summed; only good to compare.
    #[must_use]
    pub fn cost(&self) -> u64 {
        let frames = self.frames(SampleRate::Hz44100).0;
        let mixes = u64::try_from(self.sounds.len()).unwrap_or(u64::MAX);
        // Summing the stems and their room is about as much work as two mixes.
        frames.saturating_mul(mixes.saturating_add(2))
    }

    fn of(
        lesson: &Lesson,
        index: usize,
        players: &Players,
        key: Key,
        tempo: Bpm,
    ) -> Result<TakePlan, PlanError> {
        let track = &lesson.tracks[index];
        let notes = take_notes(lesson, track, players, key, tempo);
        let notes = notes.map_err(|error| match error {
            TakeError::Arrange(source) => {
                PlanError::Shape { number: track.number, name: track.name.clone(), source }
            }
            TakeError::Internal(error) => PlanError::Internal(error),
        })?;
        let files = Files::of(lesson, track, key, tempo);
        let take = TakePlan {
            name: files.take(),
            track: index,
            key,
            tempo,
            sounds: files.sounds(&notes),
            midi: files.midi(),
            bar_times: files.bar_times(),
            notes,
        };
        take.fits(lesson.rate).map_err(|source| PlanError::TooLong {
            number: track.number,
            name: track.name.clone(),
            source,
        })?;
        Ok(take)
    }

    /// Whether every format can hold the take, with all that may ring after its end: to be known
    /// before any work begins.
    fn fits(&self, rate: SampleRate) -> Result<(), DeliverError> {
        // Heads and tags are shorter than that.
        let frames = self.frames(rate) + rate.seconds(LONGEST_TAIL_SECONDS);
        let file = SoundFile { rate, frames, ..SoundFile::default() };
        self.sounds.iter().try_for_each(|sound| file.fits(sound.format))
    }
}

/// What the voicings had to give up and how lines leave their range, once a track and key.
fn warnings_of_takes(lesson: &Lesson, takes: &[TakePlan]) -> Vec<String> {
    let mut warnings: Vec<String> = Vec::new();
    for take in takes {
        let of_voicings = take.notes.voicings.iter().flat_map(|voicings| &voicings.warnings);
        let words = of_voicings.map(ToString::to_string).chain(take.notes.warnings.iter().cloned());
        for warning in words {
            let text = format!("{}, {}: {warning}", lesson.tracks[take.track].name, take.key);
            if !warnings.contains(&text) {
                warnings.push(text);
            }
        }
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::NoNeighbours;

    #[test]
    fn a_lesson_that_asks_for_too_many_files_is_refused_before_any_work() {
        let tempos: Vec<String> = (0..99).map(|tempo| (60 + tempo).to_string()).collect();
        let mixes = "{ only = [\"bass\"] }, { only = [\"drums\"] }, {}, { without = [\"bass\"] }";
        let track = |number: usize| {
            format!(
                "[[track]]\nname = \"{number}\"\nchart = \"c\"\ncomp = \"shells\"\nbass = \"walking\"\n\
                 drums = \"ride\"\nmixes = [{mixes}]\n"
            )
        };
        let text = format!(
            "format = 1\ntitle = \"T\"\nkeys = \"fourths\"\ntempos = [{}]\n[[chart]]\nname = \"c\"\n\
             key = \"C\"\nA = \"| C6 |\"\n{}",
            tempos.join(","),
            (0..6).map(track).collect::<String>()
        );
        let library = Library::built_in();
        let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library).unwrap();
        let error = Plan::of(&lesson, &library, |_| true).unwrap_err();
        assert!(
            error.to_string().contains("asks for 35640 files, and 30000 is the most"),
            "{error}"
        );
    }

    /// On a phone there are no folders: what a file is called there tells it from all others.
    #[test]
    fn every_file_of_the_demo_has_a_title_of_its_own() {
        let text = include_str!("../../renders/evening-class/lesson.toml");
        let library = Library::built_in();
        let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library).unwrap();
        let plan = Plan::of(&lesson, &library, |_| true).unwrap();
        let sounds = || plan.takes.iter().flat_map(|take| &take.sounds);
        let titles: BTreeSet<&str> = sounds().map(|sound| sound.tags.title.as_str()).collect();
        assert_eq!(titles.len(), sounds().count());
        let band = "band, in Gm, 144 bpm, without comp";
        assert!(titles.iter().any(|title| title.ends_with(band)), "{titles:#?}");
    }
}

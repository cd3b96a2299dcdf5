//! Notes on the grid become notes on paper: what a student reads.
//!
//! There is one file a step: `spelling` gives every note its letter, `grid` its time
//! as it can be written, `voices` one voice or two a staff, `bars` lays these into bars, where
//! `figures` finds note values (`values`), triplets and `beams`; `chords` writes the symbols above,
//! `repeats` finds choruses that look alike, and `assemble` makes a
//! [`Score`] of it all for [`codec::musicxml`](crate::codec::musicxml).
//!
//! Notes do not depend on tempo: one score serves all tempos of a track in a key. No fingering is
//! written: rules for it that hold for hands of every size are not known to us.

mod accidentals;
mod assemble;
mod bars;
mod beams;
mod chords;
mod figures;
mod grid;
mod layout;
mod opening;
mod reader;
mod repeats;
mod spelling;
mod staff;
mod values;
mod voices;

pub use reader::Reader;

use std::num::NonZeroU32;

use crate::arrange::{ArrangeError, Arrangement, CountIn, Ending, Timeline, arrange};
use crate::chart::Chart;
use crate::codec::musicxml::score::Score;
use crate::part::PartNotes;
use crate::part::line::Line;
use crate::problem::InternalError;
use crate::theory::Key;
use crate::units::{Bpm, Ticks};

/// What stands above the notes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heading {
    /// The title.
    pub title: String,
    /// Who arranged it.
    pub arranger: Option<String>,
    /// The copyright line.
    pub rights: Option<String>,
    /// The tempos at which it is heard, in beats per minute; none are written where there are
    /// none.
    pub tempos: Vec<Bpm>,
}

/// Why a sheet cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// Its chart cannot be arranged.
    #[error(transparent)]
    Arrange(#[from] ArrangeError),
    /// A fault of the program.
    #[error(transparent)]
    Internal(#[from] InternalError),
}

/// The keyboard's parts of a performance: the line in the upper staff, the left hand in the lower,
/// two-handed comping under a line in a part of its own. Other players' parts are left out.
///
/// `straight` says that the band plays even eighths whatever the chart says.
///
/// # Errors
/// Something cannot be written, which is a fault of the program.
pub fn hands(
    timeline: &Timeline,
    parts: &[PartNotes],
    straight: bool,
    heading: &Heading,
) -> Result<Score, InternalError> {
    let layout = layout::of_hands(timeline, parts)?;
    assemble::score(timeline, &layout, straight, heading)
}

/// Where in the score of [`hands`] each bar of the timeline stands: indices of measures, by index
/// of the bar. Bars that are played from a repeat share a measure; a count-in has none.
///
/// # Errors
/// As [`hands`].
pub fn hands_measures(
    timeline: &Timeline,
    parts: &[PartNotes],
) -> Result<Vec<Option<usize>>, InternalError> {
    assemble::measures(timeline, &layout::of_hands(timeline, parts)?)
}

/// A chart as a lead sheet: the line, if there is one, and the chord symbols; slashes where the
/// player is free. One chorus with the form written out, the last one beside it where that differs,
/// and what is played besides.
///
/// # Errors
/// The chart cannot be arranged (it has more bars than a track may have), or something cannot be
/// written, which is a fault of the program.
pub fn lead_sheet(
    chart: &Chart,
    line: Option<&Line>,
    key: Key,
    reader: Reader,
    heading: &Heading,
) -> Result<Score, SheetError> {
    // A last chorus that differs is written beside the others.
    let choruses = NonZeroU32::MIN.saturating_add(u32::from(chart.roadmap.last.is_some()));
    let arrangement = |tempo| Arrangement {
        ending: Ending::None,
        count_in: CountIn::None,
        pickup: line.map_or(Ticks::ZERO, Line::pickup),
        choruses,
        ..Arrangement::once(tempo)
    };
    // The tempo moves no note; it is only in the timeline because every timeline has one.
    let tempo = heading.tempos.first().copied().unwrap_or(Bpm::MODERATE);
    let sounding = arrange(&chart.transpose(key), &arrangement(tempo))?;
    let written = arrange(&chart.transpose(reader.written_key(key)), &arrangement(tempo))?;
    let line = line.map(|line| line.play(&sounding));
    let layout = layout::of_lead_sheet(&written, line, key, reader)?;
    Ok(assemble::score(&written, &layout, false, heading)?)
}

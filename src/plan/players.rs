//! Who plays in a track: its styles, read, and its lines.

use std::sync::Arc;

use crate::lesson::{Lesson, Track};
use crate::style::{BassStyle, CompStyle, DrumStyle, Intensity, Library, Shelf};

use super::lines::Lines;
use super::{PlanError, PlannedLine};

/// Who plays in a track, and how.
#[derive(Debug, Clone)]
pub struct Players {
    /// The left hand, or the band's piano.
    pub comp: Option<CompStyle>,
    /// The bass.
    pub bass: Option<BassStyle>,
    /// The drums, and how full they are.
    pub drums: Option<(DrumStyle, Intensity)>,
    /// The line.
    pub line: Option<Arc<PlannedLine>>,
    /// A line for the left hand, in place of a comp.
    pub left_hand: Option<Arc<PlannedLine>>,
}

impl Players {
    /// Reads the styles of a track, and plans its lines.
    ///
    /// # Errors
    /// A style is not there, or its file says something that it may not say; a composed line has no
    /// notes.
    pub fn of(lesson: &Lesson, track: &Track, library: &Library) -> Result<Players, PlanError> {
        Players::with(&Lines::of(lesson, std::iter::once(track))?, track, library)
    }

    /// Reads the styles of a track. `lines` are those that are planned.
    ///
    /// # Errors
    /// A style is not there, or its file says something that it may not say.
    pub(super) fn with(
        lines: &Lines,
        track: &Track,
        library: &Library,
    ) -> Result<Players, PlanError> {
        let find = |shelf, name: &Option<String>| {
            name.as_deref().map(|name| library.find(shelf, name)).transpose()
        };
        let comp = find(Shelf::Comp, &track.comp)?.map(CompStyle::read).transpose()?;
        let bass = find(Shelf::Bass, &track.bass)?.map(BassStyle::read).transpose()?;
        let drums = find(Shelf::Drums, &track.drums)?.map(DrumStyle::read).transpose()?;
        Ok(Players {
            comp,
            bass,
            drums: drums.map(|style| (style, track.intensity)),
            line: lines.get(track.line)?,
            left_hand: lines.get(track.left_hand)?,
        })
    }
}

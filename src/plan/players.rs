//! Who plays in a track: its styles, read, and its lines.

use std::sync::Arc;

use crate::lesson::{Change, Lesson, Scope, Track};
use crate::performance::Part;
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
    /// The drums.
    pub drums: Option<DrumStyle>,
    /// How full they are.
    pub intensity: Intensity,
    /// Where somebody plays otherwise, or rests.
    pub changes: Vec<PlayersChange>,
    /// The line.
    pub line: Option<Arc<PlannedLine>>,
    /// A line for the left hand, in place of a comp.
    pub left_hand: Option<Arc<PlannedLine>>,
}

/// Who plays otherwise in some bars, and how.
#[derive(Debug, Clone)]
pub struct PlayersChange {
    /// In which bars.
    pub scope: Scope,
    /// The line there.
    pub line: Option<Arc<PlannedLine>>,
    /// The comp there.
    pub comp: Option<CompStyle>,
    /// The bass there.
    pub bass: Option<BassStyle>,
    /// The drums there.
    pub drums: Option<DrumStyle>,
    /// How full they are there.
    pub intensity: Option<Intensity>,
    /// Who rests there.
    pub rest: Vec<Part>,
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
        let find = |shelf, name: &Option<String>| -> Result<_, PlanError> {
            Ok(name.as_deref().map(|name| library.find(shelf, name)).transpose()?)
        };
        let comp = |name: &Option<String>| {
            find(Shelf::Comp, name)?.map(CompStyle::read).transpose().map_err(PlanError::from)
        };
        let bass = |name: &Option<String>| {
            find(Shelf::Bass, name)?.map(BassStyle::read).transpose().map_err(PlanError::from)
        };
        let drums = |name: &Option<String>| {
            find(Shelf::Drums, name)?.map(DrumStyle::read).transpose().map_err(PlanError::from)
        };
        let change = |change: &Change| -> Result<PlayersChange, PlanError> {
            Ok(PlayersChange {
                scope: change.scope.clone(),
                line: lines.get(change.line)?,
                comp: comp(&change.comp)?,
                bass: bass(&change.bass)?,
                drums: drums(&change.drums)?,
                intensity: change.intensity,
                rest: change.rest.clone(),
            })
        };
        Ok(Players {
            comp: comp(&track.comp)?,
            bass: bass(&track.bass)?,
            drums: drums(&track.drums)?,
            intensity: track.intensity,
            changes: track.changes.iter().map(change).collect::<Result<_, _>>()?,
            line: lines.get(track.line)?,
            left_hand: lines.get(track.left_hand)?,
        })
    }
}

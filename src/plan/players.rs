//! The styles of a track, read.

use crate::lesson::Track;
use crate::style::{BassStyle, CompStyle, DrumStyle, Intensity, Library, Shelf};

use super::PlanError;

/// Who plays in a track, and how.
#[derive(Debug, Clone)]
pub struct Players {
    /// The left hand, or the band's piano.
    pub comp: Option<CompStyle>,
    /// The bass.
    pub bass: Option<BassStyle>,
    /// The drums, and how full they are.
    pub drums: Option<(DrumStyle, Intensity)>,
}

impl Players {
    /// Reads the styles of a track.
    ///
    /// # Errors
    /// A style is not there, or its file says something that it may not say.
    pub fn of(track: &Track, library: &Library) -> Result<Players, PlanError> {
        let find = |shelf, name: &Option<String>| {
            name.as_deref().map(|name| library.find(shelf, name)).transpose()
        };
        let comp = find(Shelf::Comp, &track.comp)?.map(CompStyle::read).transpose()?;
        let bass = find(Shelf::Bass, &track.bass)?.map(BassStyle::read).transpose()?;
        let drums = find(Shelf::Drums, &track.drums)?.map(DrumStyle::read).transpose()?;
        Ok(Players { comp, bass, drums: drums.map(|style| (style, track.intensity)) })
    }
}

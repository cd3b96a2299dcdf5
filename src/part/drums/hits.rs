//! What the drummer plays with the hits of the whole band.

use crate::arrange::TimelineBar;
use crate::chart::BandHits;
use crate::style::{DrumHit, DrumStyle, Intensity, Kit, Percussion};
use crate::units::Ticks;

/// MIDI velocities of a hit's strokes before the style's level, and of the stroke that sets it up: a
/// matter of taste, an accent against a soft one before it.
const KICK: u8 = 82;
const ACCENT: u8 = 80;
const SET_UP: u8 = 52;

/// The strokes of a bar with hits. The time goes on where the band does not stop, without kick, snare
/// and toms of its own; each hit is kick and snare, a held one kick and crash, and a soft stroke an
/// eighth before leads to what is off the beat.
pub(super) fn with_hits(
    rhythm: Vec<DrumHit>,
    bar: &TimelineBar,
    hits: &BandHits,
    style: &DrumStyle,
) -> Vec<DrumHit> {
    let mut strokes: Vec<DrumHit> = Vec::new();
    if !hits.stop {
        strokes.extend(rhythm.into_iter().filter(|hit| keeps_time(hit.percussion)));
    }
    let [snare, crash] = match style.kit {
        Kit::Sticks => ["acoustic-snare", "crash-cymbal-1"],
        Kit::Brushes => ["brush-slap", "brush-slap"],
    };
    let stroke = |name: &str, at: Ticks, velocity: u8| {
        Some(DrumHit {
            at,
            percussion: Percussion::named(name)?,
            velocity,
            probability: 1.0,
            from: Intensity::Light,
            up_to: Intensity::Full,
            length: None,
        })
    };
    for hit in &hits.hits {
        let accent = if hit.held { crash } else { snare };
        strokes.extend(stroke("bass-drum-1", hit.at, KICK));
        strokes.extend(stroke(accent, hit.at, ACCENT));
        let before = hit.at - Ticks::EIGHTH;
        let is_off_beat = hit.at.0 % bar.meter.count().0 != 0;
        let is_free = hits.hits.iter().all(|other| other.at != before);
        if is_off_beat && is_free && !hits.stop {
            strokes.extend(stroke(snare, before, SET_UP));
        }
    }
    strokes.sort_by_key(|stroke| (stroke.at, stroke.percussion.key()));
    // A cymbal that keeps time and is struck at once with a crash is one stroke too many.
    strokes.dedup_by(|next, before| {
        (next.at, next.percussion.key()) == (before.at, before.percussion.key())
    });
    strokes
}

/// Cymbals, hi-hat and the brush that goes round: what goes on under hits.
fn keeps_time(percussion: Percussion) -> bool {
    let name = percussion.name();
    ["ride", "hi-hat", "swirl", "shaker", "cabasa"].iter().any(|kept| name.contains(kept))
}

//! How long notes are held.

use super::grid::ticks_of_ms;
use crate::part::{Note, Stroke};
use crate::performance::Part;
use crate::units::{Tempo, Ticks};

/// The gap before the next note: a share of the note's length, but at most so many
/// milliseconds. From memory: a line is nearly legato, a plucked string speaks anew, a hand
/// lifts before the next chord.
struct Gap {
    share: f64,
    most_ms: f64,
}

/// How long a ghost note sounds, in milliseconds: 60 to 90 on the bass (from memory,
/// `tests/facts/practice.tsv`); the same serves the left hand.
const GHOST_MS: (f64, f64) = (60.0, 90.0);

/// How long a note is held that would be held for `full` if every note met the next.
pub(super) fn held(note: &Note, part: Part, full: Ticks, tempo: Tempo) -> Ticks {
    if note.stroke == Stroke::Ghost && part != Part::Drums {
        let (shortest, longest) = GHOST_MS;
        return full.clamp(ticks_of_ms(shortest, tempo), ticks_of_ms(longest, tempo));
    }
    let gap = match part {
        Part::Comp => Gap { share: 0.05, most_ms: 40.0 },
        Part::Bass => Gap { share: 0.07, most_ms: 30.0 },
        Part::Line => Gap { share: 0.04, most_ms: 15.0 },
        Part::Drums | Part::Click | Part::CountIn => return full,
    };
    let full_ms = full.quarters() * f64::from(tempo.0) / 1000.0;
    full - ticks_of_ms((full_ms * gap.share).min(gap.most_ms), tempo)
}

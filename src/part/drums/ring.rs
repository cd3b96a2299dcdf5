//! How long drums and cymbals are left to ring.

use crate::style::Percussion;
use crate::units::{Meter, Ticks};

/// Cymbals, open hi-hat and triangle ring on: two bars are longer than any of them.
const CYMBALS: [&str; 10] = [
    "ride-cymbal-1",
    "ride-cymbal-2",
    "ride-bell",
    "crash-cymbal-1",
    "crash-cymbal-2",
    "chinese-cymbal",
    "splash-cymbal",
    "open-hi-hat",
    "open-triangle",
    "vibraslap",
];

/// The length of a note whose style gives none: two bars for what rings, a bar for the swirl of a
/// brush, which goes on as long as the hand moves, and an eighth for everything else (the length
/// that drum tracks are commonly written in).
pub(super) fn length(percussion: Percussion, meter: Meter) -> Ticks {
    match percussion.name() {
        "brush-swirl" => meter.bar(),
        name if CYMBALS.contains(&name) => meter.bar() * 2,
        _ => Ticks::EIGHTH,
    }
}

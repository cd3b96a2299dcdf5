//! A chart in another key.

use super::{Bar, Chart, Slot};
use crate::theory::Key;

impl Chart {
    /// The chart in another key, moved by letter and semitones so that its spelling follows the
    /// key and raised degrees stay raised: F#dim7 in F becomes Bdim7 in Bb. A minor chart stays
    /// minor: of `to`, the tonic counts.
    #[must_use]
    pub fn transpose(&self, to: Key) -> Chart {
        let interval = self.key.interval_to(to);
        let transpose_slot = |slot: &Slot| Slot {
            chord: slot.chord.as_ref().map(|chord| chord.transposed(interval)),
            ..slot.clone()
        };
        let transpose_bar = |bar: &Bar| Bar {
            section: bar.section.clone(),
            slots: bar.slots.iter().map(transpose_slot).collect(),
        };
        Chart {
            name: self.name.clone(),
            key: Key { tonic: to.tonic, mode: self.key.mode },
            meter: self.meter,
            feel: self.feel,
            bars: self.bars.iter().map(transpose_bar).collect(),
        }
    }
}

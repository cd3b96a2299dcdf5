//! A chart in another key.

use super::{Bar, Chart, Roadmap, Setting, Slot};
use crate::theory::Key;

impl Chart {
    /// The chart in another key, moved by letter and semitones so that its spelling follows the
    /// key and raised degrees stay raised: F#dim7 in F becomes Bdim7 in Bb. A minor chart stays
    /// minor: of `to`, the tonic counts. A section in a key of its own moves as far, into the key
    /// that the trade spells where letters would lead beyond six signs.
    #[must_use]
    pub fn transpose(&self, to: Key) -> Chart {
        let home = Key { tonic: to.tonic, mode: self.key.mode };
        let moved = |key: Key| {
            if key == self.key {
                return home;
            }
            let tonic = key.tonic.transpose(self.key.interval_to(to));
            let by_letter = Key { tonic, ..key };
            if by_letter.signature().abs() <= 6 {
                by_letter
            } else {
                Key::usual(tonic.pitch_class(), key.mode)
            }
        };
        let transpose_bar = |bar: &Bar| {
            let key = moved(bar.setting.key);
            let interval = bar.setting.key.interval_to(key);
            let transpose_slot = |slot: &Slot| Slot {
                chord: slot.chord.as_ref().map(|chord| chord.transposed(interval)),
                ..slot.clone()
            };
            Bar {
                setting: Setting { key, ..bar.setting },
                slots: bar.slots.iter().map(transpose_slot).collect(),
                ..bar.clone()
            }
        };
        let all = |bars: &[Bar]| bars.iter().map(transpose_bar).collect::<Vec<Bar>>();
        Chart {
            name: self.name.clone(),
            key: home,
            meter: self.meter,
            feel: self.feel,
            bars: all(&self.bars),
            roadmap: Roadmap {
                intro: all(&self.roadmap.intro),
                interlude: all(&self.roadmap.interlude),
                last: self.roadmap.last.as_deref().map(all),
                outro: all(&self.roadmap.outro),
            },
        }
    }
}

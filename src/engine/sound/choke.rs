//! Choking: a closed hi-hat stops an open one.
//!
//! SoundFonts say with an exclusive class which sounds stop each other. The synthesiser would
//! cut them off hard and take the voice away from the other channel, so classes are kept from it
//! and the choking is done here, as a short fade.

use std::collections::BTreeMap;

use crate::units::SampleRate;

/// General MIDI's hi-hat keys, closed, pedal and open: they choke each other where the SoundFont
/// says nothing. From the General MIDI level 1 percussion map.
const HI_HATS: [u8; 3] = [42, 44, 46];

/// Which notes stop each other.
pub(super) type ChokeGroup = i32;

/// The group of a percussion key whose sound has this exclusive class, or 0.
pub(super) fn group(key: u8, exclusive_class: i32) -> Option<ChokeGroup> {
    match exclusive_class {
        0 => HI_HATS.contains(&key).then_some(-1),
        class => Some(class),
    }
}

/// Ends each note of a group where the next of the group begins. Strokes at the same frame leave
/// each other alone.
#[derive(Debug, Default)]
pub(super) struct Choker {
    /// Each group's next onset, and the one after it.
    next: BTreeMap<ChokeGroup, (u64, Option<u64>)>,
}

impl Choker {
    /// The frame where a note that begins at frame `start` is choked. Notes are asked for from the
    /// last to the first.
    pub(super) fn end(&mut self, group: ChokeGroup, start: u64) -> Option<u64> {
        let following = match self.next.get(&group) {
            Some((at, after)) if *at == start => *after,
            Some((at, _)) => Some(*at),
            None => None,
        };
        self.next.insert(group, (start, following));
        following
    }
}

/// The fade of a choked note: a raised cosine of 8 ms (common practice is 5 to 10 ms: shorter
/// clicks, longer is heard as ringing on).
#[derive(Debug, Clone)]
pub(super) struct Fade {
    factors: Vec<f32>,
}

impl Fade {
    pub(super) fn new(rate: SampleRate) -> Fade {
        let length = rate.hz() * 8 / 1_000;
        let factors = (0..length)
            .map(|frame| {
                let share = f64::from(frame + 1) / f64::from(length);
                #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
                let factor = (0.5 + 0.5 * (std::f64::consts::PI * share).cos()) as f32;
                factor
            })
            .collect();
        Fade { factors }
    }

    /// In frames.
    pub(super) fn length(&self) -> usize {
        self.factors.len()
    }

    /// The factor for a frame when the fade begins at frame `choke`.
    pub(super) fn factor(&self, frame: usize, choke: usize) -> f32 {
        match frame.checked_sub(choke) {
            None => 1.0,
            Some(into) => self.factors.get(into).copied().unwrap_or(0.0),
        }
    }
}

//! Tempo by tick, and the one conversion from ticks to frames.

use crate::units::{Frames, SampleRate, Tempo, Ticks, scaled_micros_to_frames};

/// Tempo by tick. Frames are computed from the exact sum of all spans, so that no error adds up.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct TempoMap {
    changes: Vec<Change>,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Change {
    at: Ticks,
    tempo: Tempo,
    /// Exact time from the start to `at`, in the units of [`Tempo::scaled_micros`].
    elapsed: i128,
}

impl TempoMap {
    /// One tempo from the start.
    #[must_use]
    pub fn constant(tempo: Tempo) -> TempoMap {
        let first = Change { at: Ticks::ZERO, tempo, elapsed: 0 };
        TempoMap { changes: vec![first] }
    }

    /// Adds a change; `at` must not be earlier than the change before it (an earlier one is taken
    /// as being at the same tick).
    pub fn change(&mut self, at: Ticks, tempo: Tempo) {
        let Some(last) = self.changes.last() else { return };
        let at = at.max(last.at);
        let elapsed = last.elapsed + last.tempo.scaled_micros(at - last.at);
        if at == last.at {
            self.changes.pop();
        }
        self.changes.push(Change { at, tempo, elapsed });
    }

    /// Every change with its tick, the first at tick 0.
    pub fn changes(&self) -> impl Iterator<Item = (Ticks, Tempo)> + '_ {
        self.changes.iter().map(|change| (change.at, change.tempo))
    }

    /// The tempo in force at a tick.
    #[must_use]
    pub fn at(&self, tick: Ticks) -> Tempo {
        self.segment(tick).tempo
    }

    /// The frame nearest to a tick, counted from tick 0; ticks before the start are frame 0.
    #[must_use]
    pub fn frame(&self, tick: Ticks, rate: SampleRate) -> Frames {
        let segment = self.segment(tick);
        let scaled = segment.elapsed + segment.tempo.scaled_micros(tick - segment.at);
        scaled_micros_to_frames(scaled, rate)
    }

    fn segment(&self, tick: Ticks) -> &Change {
        let after = self.changes.partition_point(|change| change.at <= tick);
        &self.changes[after.saturating_sub(1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_do_not_drift_over_many_changes() {
        let mut map = TempoMap::constant(Tempo(333_333));
        for bar in 1..2_000 {
            map.change(Ticks(3840 * bar), Tempo(333_333));
        }
        let direct = Tempo(333_333).frames(Ticks(3840 * 2_000), SampleRate::Hz44100);
        assert_eq!(map.frame(Ticks(3840 * 2_000), SampleRate::Hz44100), direct);
    }

    #[test]
    fn a_change_takes_effect_at_its_tick() {
        let mut map = TempoMap::constant(Tempo(1_000_000));
        map.change(Ticks(960), Tempo(500_000));
        assert_eq!(map.frame(Ticks(1920), SampleRate::Hz44100), Frames(44_100 + 22_050));
        assert_eq!(map.at(Ticks(959)), Tempo(1_000_000));
        assert_eq!(map.at(Ticks(960)), Tempo(500_000));
    }
}

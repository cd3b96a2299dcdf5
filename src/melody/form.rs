//! The chords that a line goes over.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::chart::{Bar, Chart};
use crate::theory::{ChordSymbol, Harmony, Key, analyse};
use crate::units::{Meter, Meters, Ticks};

/// One chorus of a chart as a line sees it: chords with their functions, each from where it
/// begins to where another one does.
#[derive(Debug, Clone, PartialEq)]
pub struct Form {
    /// The key as written.
    pub key: Key,
    /// The chart's meter.
    pub meter: Meter,
    /// The meter of each bar.
    pub meters: Vec<Meter>,
    /// How many bars.
    pub bars: usize,
    /// The chords and silences, without a gap.
    pub spans: Vec<Span>,
}

/// A chord, or silence, and how long it lasts; bar lines do not divide it.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// From the start of the form.
    pub at: Ticks,
    /// How long.
    pub length: Ticks,
    /// The chord with its function; `None` is N.C.
    pub harmony: Option<Arc<Harmony>>,
}

impl Span {
    /// When it ends.
    #[must_use]
    pub fn end(&self) -> Ticks {
        self.at + self.length
    }
}

/// The chart's changes with their functions, each in the key of its bar.
fn harmonies(chart: &Chart) -> Vec<Harmony> {
    let in_bar = |bar: &Bar| bar.slots.iter().map(|slot| slot.chord.clone()).collect::<Vec<_>>();
    let in_keys = chart
        .bars
        .iter()
        .flat_map(|bar| in_bar(bar).into_iter().flatten().map(|chord| (chord, bar.setting.key)));
    let mut changes: Vec<(ChordSymbol, Key)> = in_keys.collect();
    changes.dedup_by(|next, before| next.0 == before.0);
    let chords: Vec<ChordSymbol> = changes.iter().map(|(chord, _)| chord.clone()).collect();
    let keys: BTreeSet<Key> = changes.iter().map(|(_, key)| *key).collect();
    let mut all: Vec<Option<Harmony>> = vec![None; chords.len()];
    for key in keys {
        for (index, harmony) in analyse(&chords, key, true).into_iter().enumerate() {
            if changes[index].1 == key {
                all[index] = Some(harmony);
            }
        }
    }
    all.into_iter().flatten().collect()
}

impl Form {
    /// The chords of a chart, which is played round and round: the last chord leads to the first.
    #[must_use]
    pub fn of(chart: &Chart) -> Form {
        let mut coming = harmonies(chart).into_iter().map(Arc::new);

        let mut spans: Vec<Span> = Vec::new();
        let mut sounding: Option<Arc<Harmony>> = None;
        let mut bar_start = Ticks::ZERO;
        for bar in &chart.bars {
            for slot in &bar.slots {
                let harmony = slot.chord.as_ref().and_then(|chord| {
                    if sounding.as_ref().is_none_or(|harmony| harmony.symbol != *chord) {
                        sounding = coming.next();
                    }
                    sounding.clone()
                });
                match spans.last_mut().filter(|last| last.harmony == harmony) {
                    Some(last) => last.length += slot.length,
                    None => {
                        spans.push(Span { at: bar_start + slot.at, length: slot.length, harmony })
                    }
                }
            }
            bar_start += bar.setting.meter.bar();
        }
        Form {
            key: chart.key,
            meter: chart.meter,
            meters: chart.meters(),
            bars: chart.bars.len(),
            spans,
        }
    }

    /// How long one chorus is.
    #[must_use]
    pub fn length(&self) -> Ticks {
        self.spans.last().map_or(Ticks::ZERO, Span::end)
    }

    /// The index of the span that sounds at a time; the first before the form, the last after it.
    #[must_use]
    pub fn span_at(&self, at: Ticks) -> usize {
        self.spans.partition_point(|span| span.at <= at).saturating_sub(1)
    }

    /// When a note counts: one that begins an eighth note or less before a chord, and is held into
    /// it for as long or longer, anticipates that chord and counts from where it begins. An
    /// anticipation of the form's first chord, at its end, stays where it is.
    #[must_use]
    pub fn heard_at(&self, at: Ticks, length: Ticks) -> Ticks {
        let next = self.spans.get(self.span_at(at) + 1).filter(|next| next.harmony.is_some());
        let anticipates = |change: &Ticks| {
            let (before, after) = (*change - at, at + length - *change);
            before <= Ticks::EIGHTH && after >= before
        };
        next.map(|next| next.at).filter(anticipates).unwrap_or(at)
    }

    /// The number of the bar that a time lies in, counted from 1; 0 and less in a pickup.
    #[must_use]
    pub fn bar_number(&self, at: Ticks) -> i64 {
        match at.0 {
            ..0 => at.0.div_euclid(self.meter.bar().0) + 1,
            _ => Meters::new(&self.meters, self.meter).count(at + Ticks(1)),
        }
    }

    /// Where the strong beats of a bar are: 1 and 3 in common and cut time, 1 in waltz time and two quarters, 1 and
    /// 4 in five and in six eighths.
    #[must_use]
    pub fn strong_beats(&self) -> &'static [Ticks] {
        match self.meter {
            Meter::FourFour | Meter::TwoTwo => &[Ticks(0), Ticks(1920)],
            Meter::ThreeFour | Meter::TwoFour => &[Ticks(0)],
            Meter::FiveFour => &[Ticks(0), Ticks(2880)],
            Meter::SixEight => &[Ticks(0), Ticks(1440)],
        }
    }

    /// Whether a time is on a strong beat.
    #[must_use]
    pub fn is_strong(&self, at: Ticks) -> bool {
        let in_bar = Ticks(at.0.rem_euclid(self.meter.bar().0));
        self.strong_beats().contains(&in_bar)
    }

    /// Whether a time is on a beat: a quarter, in six eighths a dotted quarter.
    #[must_use]
    pub fn is_beat(&self, at: Ticks) -> bool {
        let beat = match self.meter {
            Meter::SixEight => self.meter.beat(),
            _ => Ticks::QUARTER,
        };
        at.0.rem_euclid(beat.0) == 0
    }

    /// The shortest time that a technique can be shown on: two beats, in cut time one. A line
    /// goes through shorter chords by chord tones.
    #[must_use]
    pub fn shortest_technique(&self) -> Ticks {
        match self.meter {
            Meter::TwoTwo => self.meter.beat(),
            _ => self.meter.beat() * 2,
        }
    }
}

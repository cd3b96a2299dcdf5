//! The click.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Instrument, Note, Part, PartNotes, Stroke};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::units::{Meter, Ticks, Velocity};

/// How the click goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClickPattern {
    /// Where it sounds.
    pub on: ClickOn,
    /// Whether a bar's first beat sounds one tone higher and louder.
    pub accent: bool,
    /// What it sounds like.
    pub sound: ClickSound,
}

/// Where in a bar the click sounds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClickOn {
    /// Every beat of the tempo: quarters, in 6/8 dotted quarters, in 2/2 halves.
    EveryBeat,
    /// Two and four; in 3/4 two and three, in 6/8 the second beat, in 2/2 the second and fourth
    /// quarter.
    BackBeats,
    /// The first beat of each bar.
    FirstBeat,
    /// These counts, from 1, as [`Meter::counts`] counts them; those that the bar does not have
    /// are left out.
    Counts(Vec<u8>),
}

/// What a click sounds like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ClickSound {
    /// Wood blocks.
    #[default]
    Wood,
    /// A softer tick, with a bell for the accent.
    Soft,
}

impl Default for ClickPattern {
    fn default() -> ClickPattern {
        ClickPattern { on: ClickOn::EveryBeat, accent: true, sound: ClickSound::Wood }
    }
}

/// The click of a timeline: in all bars but the count-in's (which has its own strokes) and those
/// in which it rests; in the ending on its first beat only.
#[must_use]
pub fn click(timeline: &Timeline, pattern: &ClickPattern) -> PartNotes {
    let sounding = timeline.bars.iter().filter(|bar| bar.click && bar.kind != BarKind::CountIn);
    let notes = sounding.flat_map(|bar| {
        pattern.on.counts(bar.meter).into_iter().filter_map(|count| {
            let ends = bar.kind == BarKind::Ending && count > 1;
            (!ends).then(|| stroke(bar, count, pattern.accent && count == 1, pattern.sound))
        })
    });
    part_notes(Part::Click, notes.collect())
}

impl ClickOn {
    /// The counts of a bar on which it sounds, from 1, in order.
    fn counts(&self, meter: Meter) -> Vec<u8> {
        match self {
            ClickOn::EveryBeat => beats(meter),
            ClickOn::BackBeats => match meter {
                Meter::ThreeFour => vec![2, 3],
                Meter::SixEight => vec![4],
                Meter::TwoFour => vec![2],
                Meter::FourFour | Meter::FiveFour | Meter::TwoTwo => vec![2, 4],
            },
            ClickOn::FirstBeat => vec![1],
            ClickOn::Counts(counts) => {
                (1..=meter.counts()).filter(|count| counts.contains(count)).collect()
            }
        }
    }
}

/// The counts that are beats of the tempo.
pub(super) fn beats(meter: Meter) -> Vec<u8> {
    let in_beat = meter.beat().0 / meter.count().0;
    (1..=meter.counts()).filter(|count| i64::from(count - 1) % in_beat == 0).collect()
}

/// General MIDI percussion keys: 76 hi wood block, 77 low wood block (General MIDI level 1);
/// 33 metronome click, 34 metronome bell (level 2).
const HIGH_WOOD_BLOCK: u8 = 76;
const LOW_WOOD_BLOCK: u8 = 77;
const METRONOME_CLICK: u8 = 33;
const METRONOME_BELL: u8 = 34;

/// One stroke on a count of a bar, from 1. Its length is a sixteenth; struck sounds ring as long
/// as they do.
pub(super) fn stroke(bar: &TimelineBar, count: u8, accented: bool, sound: ClickSound) -> Note {
    let pitch = match (sound, accented) {
        (ClickSound::Wood, true) => HIGH_WOOD_BLOCK,
        (ClickSound::Wood, false) => LOW_WOOD_BLOCK,
        (ClickSound::Soft, true) => METRONOME_BELL,
        (ClickSound::Soft, false) => METRONOME_CLICK,
    };
    Note {
        at: bar.start + bar.meter.count() * i64::from(count.saturating_sub(1)),
        length: Ticks(240),
        pitch,
        velocity: Velocity::clamped(if accented { 88 } else { 72 }),
        stroke: Stroke::Full,
        hand: None,
        degree: None,
        variant: 0,
    }
}

/// Notes on the percussion kit, in time whatever the feel.
pub(super) fn part_notes(part: Part, notes: Vec<Note>) -> PartNotes {
    PartNotes { part, instrument: Instrument { bank: 128, program: 0 }, straight: false, notes }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::{Arrangement, Ending, Shape, arrange};
    use crate::chart::{ChartSource, FeelName, FormSource};
    use crate::units::Bpm;

    fn timeline(meter: Meter, shape: Shape) -> Timeline {
        let chart = ChartSource {
            name: "test",
            key: "C".parse().unwrap(),
            meter,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", "C6 | % | % | %")],
        };
        let once = Arrangement::once(Bpm::new(60.0).unwrap());
        let arrangement = Arrangement { shape, ending: Ending::Held, ..once };
        arrange(&chart.parse().unwrap(), &arrangement).unwrap()
    }

    /// The counts of the first bar of the form on which it sounds.
    fn counts(meter: Meter, on: ClickOn) -> Vec<i64> {
        let timeline = timeline(meter, Shape::Straight);
        let start = timeline.form_start();
        let notes = click(&timeline, &ClickPattern { on, ..ClickPattern::default() }).notes;
        let in_bar = notes.iter().map(|note| note.at - start).filter(|at| *at < meter.bar());
        in_bar.map(|at| at.0 / meter.count().0 + 1).collect()
    }

    #[test]
    fn the_click_sounds_where_it_is_asked_to() {
        assert_eq!(counts(Meter::FourFour, ClickOn::EveryBeat), [1, 2, 3, 4]);
        assert_eq!(counts(Meter::FourFour, ClickOn::BackBeats), [2, 4]);
        assert_eq!(counts(Meter::ThreeFour, ClickOn::BackBeats), [2, 3]);
        assert_eq!(counts(Meter::SixEight, ClickOn::EveryBeat), [1, 4]);
        assert_eq!(counts(Meter::TwoTwo, ClickOn::EveryBeat), [1, 3]);
        assert_eq!(counts(Meter::FiveFour, ClickOn::FirstBeat), [1]);
        assert_eq!(counts(Meter::FourFour, ClickOn::Counts(vec![4, 9, 0, 2])), [2, 4]);
    }

    #[test]
    fn it_leaves_the_count_in_alone_and_ends_on_the_last_downbeat() {
        let timeline = timeline(Meter::FourFour, Shape::Straight);
        let notes = click(&timeline, &ClickPattern::default()).notes;
        assert_eq!(notes.len(), 4 * 4 + 1);
        assert_eq!(notes[0].at, timeline.form_start());
        let accents: Vec<bool> = notes[..5].iter().map(|note| note.pitch == 76).collect();
        assert_eq!(accents, [true, false, false, false, true]);
    }

    #[test]
    fn a_resting_click_rests() {
        let one = std::num::NonZeroU32::MIN;
        let timeline =
            timeline(Meter::FourFour, Shape::RestingClick { sounding: one, silent: one });
        let notes = click(&timeline, &ClickPattern::default()).notes;
        let bars: Vec<i64> =
            notes.iter().map(|note| (note.at - timeline.form_start()).0 / 3840).collect();
        assert_eq!(bars, [0, 0, 0, 0, 2, 2, 2, 2, 4]);
    }
}

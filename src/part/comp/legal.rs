//! Which placements are legal.

use super::tones::Tone;
use super::voicing::Rule;
use crate::part::Hand;
use crate::style::{CompStyle, PitchRange};
use crate::theory::{Degree, Harmony};

/// The limits that a placement of one chord must keep.
pub(super) struct Limits<'a> {
    pub(super) style: &'a CompStyle,
    pub(super) harmony: &'a Harmony,
    /// Semitones that a hand spans.
    pub(super) reach: u8,
    /// The line's lowest note: all notes lie below it.
    pub(super) ceiling: Option<u8>,
    /// Rules that give way.
    pub(super) waived: &'a [Rule],
}

/// The lowest MIDI number at which the lower note of an interval of 1 to 11 semitones may lie
/// when both are struck together. Source: Sweetwater inSync, "Low Interval Limit" (minor second
/// E3, major second Eb3, minor third C3, major third B2, fourth A2, fifth C#2, sixths and
/// sevenths F2), with the fifth's limit for the tritone, whose printed B1 would be below it.
const LOWEST_BY_INTERVAL: [i16; 12] = [0, 52, 51, 48, 47, 45, 37, 37, 41, 41, 41, 41];

const OCTAVE: i16 = 12;
const MINOR_NINTH: i16 = 13;

impl Limits<'_> {
    /// Does this rule hold?
    pub(super) fn holds(&self, rule: Rule) -> bool {
        !self.waived.contains(&rule)
    }

    /// The register, or the one of bass notes that are struck apart.
    pub(super) fn register(&self, is_bass: bool) -> PitchRange {
        let bass = self.style.bass.filter(|_| is_bass);
        let PitchRange { lowest, highest } = bass.unwrap_or(self.style.register);
        if self.holds(Rule::Register) {
            return PitchRange { lowest, highest };
        }
        PitchRange { lowest: lowest.saturating_sub(12), highest: (highest + 12).min(127) }
    }

    /// Are these pitches legal for these tones? Both go from the lowest up.
    pub(super) fn allow(&self, tones: &[Tone], pitches: &[i16]) -> bool {
        let below_line = |pitch: &i16| self.ceiling.is_none_or(|line| *pitch < i16::from(line));
        self.in_reach(tones, pitches)
            && (!self.holds(Rule::BelowTheLine) || pitches.iter().all(below_line))
            && (!self.holds(Rule::TopVoice) || self.top_in_range(pitches))
            && (!self.holds(Rule::MinorNinth) || !self.has_minor_ninth(tones, pitches))
            && (!self.holds(Rule::LowIntervals) || self.low_intervals_are_clear(tones, pitches))
    }

    /// Does each hand span what it strikes at once?
    pub(super) fn in_reach(&self, tones: &[Tone], pitches: &[i16]) -> bool {
        let groups = tones.last().map_or(0, |tone| tone.group);
        (0..=groups).all(|group| {
            [Hand::Left, Hand::Right].into_iter().all(|hand| {
                let struck = tones.iter().zip(pitches);
                let mut struck =
                    struck.filter(|(tone, _)| tone.group == group && tone.hand == hand);
                let lowest = struck.next().map_or(0, |(_, pitch)| *pitch);
                let highest = struck.next_back().map_or(lowest, |(_, pitch)| *pitch);
                highest - lowest <= i16::from(self.reach)
            })
        })
    }

    fn top_in_range(&self, pitches: &[i16]) -> bool {
        let range = self.style.top;
        range.zip(pitches.last()).is_none_or(|(range, top)| range.contains(*top))
    }

    /// A minor ninth between two voices that the symbol has not: only its own flat ninth over
    /// its root is one that a reader asks for.
    fn has_minor_ninth(&self, tones: &[Tone], pitches: &[i16]) -> bool {
        let flat_ninth = Degree::new(9, -1);
        let written = self.harmony.symbol.has(flat_ninth);
        let voices = || tones.iter().zip(pitches);
        voices().any(|(lower, low)| {
            voices().any(|(upper, high)| {
                let asked_for =
                    written && lower.degree == Degree::ROOT && upper.degree == flat_ninth;
                high - low == MINOR_NINTH && lower.group == upper.group && !asked_for
            })
        })
    }

    /// Are adjacent notes struck together far enough apart for where they lie? Where a bass
    /// player has the root, it counts as the next note below the chord.
    fn low_intervals_are_clear(&self, tones: &[Tone], pitches: &[i16]) -> bool {
        let together = |pair: &(&[Tone], &[i16])| pair.0[0].group == pair.0[1].group;
        let mut pairs = tones.windows(2).zip(pitches.windows(2)).filter(together);
        pairs.all(|(_, pair)| is_clear(pair[0], pair[1])) && self.root_below_is_clear(pitches)
    }

    fn root_below_is_clear(&self, pitches: &[i16]) -> bool {
        let Some(&lowest) = pitches.first() else { return true };
        let root = i16::from(self.harmony.symbol.bass_note().pitch_class());
        let down = (lowest - root).rem_euclid(OCTAVE);
        let down = if down == 0 { OCTAVE } else { down };
        !self.style.root_below || is_clear(lowest - down, lowest)
    }
}

/// Is the interval from `low` up to `high` clear at its height? An octave or more always is.
fn is_clear(low: i16, high: i16) -> bool {
    let interval = high.abs_diff(low);
    LOWEST_BY_INTERVAL.get(usize::from(interval)).is_none_or(|lowest| low >= *lowest)
}

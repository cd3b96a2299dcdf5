//! What was chosen: pitches by chord, and what had to give.

use std::sync::Arc;

use crate::part::Hand;
use crate::theory::{ChordSymbol, Degree, NoteName, Pitch};

/// The pitches chosen for every chord of a timeline.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Voicings {
    /// For each bar of the timeline, for each of its slots, the voicing; `None` for N.C.
    pub bars: Vec<Vec<Option<Arc<Voicing>>>>,
    /// Chords that could not be voiced by all the rules, each bar of a progression once.
    pub warnings: Vec<VoicingWarning>,
}

impl Voicings {
    /// The voicing of a slot, where it has one.
    #[must_use]
    pub fn get(&self, bar: usize, slot: usize) -> Option<&Arc<Voicing>> {
        self.bars.get(bar)?.get(slot)?.as_ref()
    }
}

impl Voicings {
    /// Takes up what others have where these have nothing.
    pub(crate) fn take_up(&mut self, others: Voicings) {
        for (slots, other) in self.bars.iter_mut().zip(others.bars) {
            for (slot, other) in slots.iter_mut().zip(other) {
                if slot.is_none() {
                    *slot = other;
                }
            }
        }
        self.warnings.extend(others.warnings);
    }
}

impl VoicingWarning {
    /// The bar of the form that is meant, counted from 0.
    #[must_use]
    pub const fn form_bar(&self) -> u32 {
        match self {
            VoicingWarning::RulesGivenUp { form_bar, .. }
            | VoicingWarning::StartIgnored { form_bar, .. } => *form_bar,
        }
    }
}

/// The pitches chosen for one chord.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Voicing {
    /// From the lowest up; never empty.
    pub notes: Vec<VoicedNote>,
}

impl Voicing {
    /// The MIDI note numbers, from the lowest up.
    #[must_use]
    pub fn pitches(&self) -> Vec<u8> {
        self.notes.iter().map(|note| note.pitch).collect()
    }
}

/// One note of a voicing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct VoicedNote {
    /// MIDI note number.
    pub pitch: u8,
    /// Its name in the chord: the b5 of A is Eb.
    pub name: NoteName,
    /// The hand that plays it.
    pub hand: Hand,
    /// What it is in its chord.
    pub degree: Degree,
    /// The number that the style's shape asked for: 7 where a sixth stands in.
    pub asked: u8,
    /// Notes of the same number are struck together; the last group is the chord.
    pub group: u8,
}

impl VoicedNote {
    /// The name with its octave.
    #[must_use]
    pub fn spelled(&self) -> Option<Pitch> {
        Pitch::named(self.pitch, self.name)
    }
}

/// A rule that had to give way where no placement keeps them all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// The top voice stays in its range.
    TopVoice,
    /// All notes stay in the register: an octave more on each side is allowed.
    Register,
    /// No minor ninth between two voices.
    MinorNinth,
    /// Low intervals are wide enough to be clear.
    LowIntervals,
    /// All notes of the shape sound: the highest that the hand cannot take are left out.
    AllNotes,
    /// The hands stay below the line.
    BelowTheLine,
}

impl Rule {
    /// The order in which rules give way.
    pub const ALL: [Rule; 6] = [
        Rule::TopVoice,
        Rule::Register,
        Rule::MinorNinth,
        Rule::LowIntervals,
        Rule::AllNotes,
        Rule::BelowTheLine,
    ];

    /// What was done instead, as a message says it.
    #[must_use]
    pub const fn given_up(self) -> &'static str {
        match self {
            Rule::TopVoice => "its top voice leaves the style's range",
            Rule::Register => "it leaves the style's register",
            Rule::MinorNinth => "it has a minor ninth between two voices",
            Rule::LowIntervals => "its low intervals are closer than sounds clear",
            Rule::AllNotes => "notes that the hand cannot reach are left out",
            Rule::BelowTheLine => "it meets the line",
        }
    }
}

/// Something about the voicings that a teacher may want to know.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VoicingWarning {
    /// No placement of the style's shapes keeps all the rules.
    #[error("bar {}: no placement of {chord} keeps all the rules, so {}", form_bar + 1, list(given_up))]
    RulesGivenUp {
        /// The bar of the form, counted from 0.
        form_bar: u32,
        /// The chord.
        chord: Box<ChordSymbol>,
        /// What gave way.
        given_up: Vec<Rule>,
    },
    /// The form asked for is not among the legal placements of the first chord.
    #[error("bar {}: {chord} cannot begin on its {degree}, so the cheapest form is taken", form_bar + 1)]
    StartIgnored {
        /// The bar of the form, counted from 0.
        form_bar: u32,
        /// The chord.
        chord: Box<ChordSymbol>,
        /// The degree asked for, 3 or 7.
        degree: u8,
    },
}

fn list(rules: &[Rule]) -> String {
    rules.iter().map(|rule| rule.given_up()).collect::<Vec<_>>().join(", and ")
}

//! Tracks, as people write them: who plays what, and for which practice.

use std::num::NonZeroU32;

use schemars::JsonSchema;
use serde::Deserialize;

use super::{KeysEntry, TemposEntry};
use crate::arrange::{Ending, Intro, KeyOrder, Passage, PassageError, TradeWith};
use crate::part::EnergyArc;
use crate::performance::Part;
use crate::schema::{Bounded, Either, List, Name, Placed, decimal, text};
use crate::style::{Intensity, Start};
use crate::units::Bpm;

/// The most lines, or comps, of one entry.
const MOST_NAMES: usize = 99;
/// The most mixes of a track.
const MOST_MIXES: usize = 99;
/// The players whom a mix can name.
const PLAYERS: usize = 4;

/// `[[track]]`
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(in crate::lesson) struct TrackEntry {
    /// The track's name, as students read it.
    pub(in crate::lesson) name: Placed<Name>,
    /// A heading on the practice page, over this track and those after it that have the same.
    pub(in crate::lesson) group: Option<Name>,
    /// Which chart it plays.
    pub(in crate::lesson) chart: Placed<Name>,
    /// The line that is played over it; a list of lines gives a track for each.
    pub(in crate::lesson) line: Option<Placed<NamesEntry>>,
    /// The comp style, or a line for the left hand; a list gives a track for each.
    pub(in crate::lesson) comp: Option<Placed<NamesEntry>>,
    /// The bass style.
    pub(in crate::lesson) bass: Option<Placed<Name>>,
    /// The drum style.
    pub(in crate::lesson) drums: Option<Placed<Name>>,
    /// How full the drums are: `"light"`, `"medium"`, `"full"`; medium where it is left out.
    pub(in crate::lesson) intensity: Option<Intensity>,
    /// How the band's energy goes over the choruses: `"level"`, `"build"`, `"build and come back"`;
    /// where it is left out it builds in a track of three choruses or more that goes straight
    /// through, and is level in others.
    pub(in crate::lesson) arc: Option<EnergyArc>,
    /// The reach of a hand in semitones, 7 to 19, a fifth to a twelfth; the style's where it is left
    /// out.
    pub(in crate::lesson) reach: Option<Bounded<u8, 7, 19>>,
    /// Which degree lies lowest in the first chord, in comp styles that have two forms: `"3"`,
    /// `"7"` or `"auto"`; the style's where it is left out.
    pub(in crate::lesson) start: Option<Start>,
    /// Where somebody plays otherwise, or rests.
    #[serde(default)]
    pub(in crate::lesson) change: Vec<Placed<ChangeEntry>>,
    /// How often the form is played, 1 to 999; once where it is left out. (999 choruses of 32 bars
    /// at a slow tempo are more than a day.)
    pub(in crate::lesson) choruses: Option<Bounded<NonZeroU32, 1, 999>>,
    /// What comes before the first chorus: the chart's own intro, which is the default,
    /// `"turnaround"`, `"last four"` for the chorus's last four bars, `"dominant pedal"`, `"drums"`, or
    /// `"none"`.
    pub(in crate::lesson) intro: Option<Intro>,
    /// How it ends: `"held"`, `"tag"` for the last phrase three times, `"ritardando"`, `"short"`,
    /// `"none"`; held where it is left out.
    pub(in crate::lesson) ending: Option<Ending>,
    /// The practice shape; straight through where it is left out.
    pub(in crate::lesson) practice: Option<Placed<PracticeEntry>>,
    /// Tempos of this track, in place of the lesson's.
    pub(in crate::lesson) tempos: Option<TemposEntry>,
    /// Keys of this track, in place of the lesson's.
    pub(in crate::lesson) keys: Option<KeysEntry>,
    /// What is heard together; everything, with count-in, where it is left out.
    pub(in crate::lesson) mixes: Option<List<Placed<MixEntry>, 1, MOST_MIXES>>,
    /// Whether every part is given as a file of its own beside the mixes.
    #[serde(default)]
    pub(in crate::lesson) stems: bool,
}

/// One of `track.change`: who plays otherwise, from a passage on or in one.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::lesson) struct ChangeEntry {
    /// The passage that it begins with, and goes on from: `"chorus 2"`, `"last chorus B"`, `"outro"`.
    pub(in crate::lesson) from: Option<Placed<PassageText>>,
    /// The passage that it is only for: `"B"`, `"chorus 3"`, `"intro"`.
    #[serde(rename = "in")]
    pub(in crate::lesson) within: Option<Placed<PassageText>>,
    /// The line.
    pub(in crate::lesson) line: Option<Placed<Name>>,
    /// The comp style.
    pub(in crate::lesson) comp: Option<Placed<Name>>,
    /// The bass style.
    pub(in crate::lesson) bass: Option<Placed<Name>>,
    /// The drum style.
    pub(in crate::lesson) drums: Option<Placed<Name>>,
    /// How full the drums are.
    pub(in crate::lesson) intensity: Option<Intensity>,
    /// Who rests: `["comp"]`.
    pub(in crate::lesson) rest: Option<List<Placed<Part>, 1, PLAYERS>>,
}

impl ChangeEntry {
    /// Whether it gives a player a style.
    pub(in crate::lesson) const fn names(&self, part: Part) -> bool {
        match part {
            Part::Comp => self.comp.is_some(),
            Part::Bass => self.bass.is_some(),
            Part::Drums => self.drums.is_some(),
            Part::Line => self.line.is_some(),
            Part::Click | Part::CountIn => false,
        }
    }
}

text! {
    /// A passage of a tune.
    PassageText(Passage),
    [regex(pattern = r"^\s*(chorus\s+0*[1-9][0-9]{0,8}|last\s+chorus)(\s+\S+)?\s*$|^\s*\S+\s*$")],
    |text| text.parse().map_err(|error: PassageError| error.to_string())
}

/// `"shells"`, or `["shells", "guide-tones"]`
pub(in crate::lesson) type NamesEntry = Either<Name, List<Placed<Name>, 1, MOST_NAMES>>;

/// One of `track.mixes`
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(in crate::lesson) struct MixEntry {
    /// Parts to leave out.
    pub(in crate::lesson) without: Option<List<Placed<Part>, 0, PLAYERS>>,
    /// The only parts to keep.
    pub(in crate::lesson) only: Option<List<Placed<Part>, 0, PLAYERS>>,
    /// Whether a click goes along; it does not where it is left out.
    pub(in crate::lesson) click: Option<bool>,
    /// Whether the band is counted in; it is where it is left out. Without, the file begins with
    /// the first bar, or with the pickup before it.
    pub(in crate::lesson) count_in: Option<bool>,
    /// One part to one side, the rest to the other.
    pub(in crate::lesson) balance: Option<BalanceEntry>,
}

/// `balance` of a mix: turning a player's balance knob takes one part out.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(in crate::lesson) struct BalanceEntry {
    /// The part that goes to one side.
    pub(in crate::lesson) part: Placed<Part>,
    /// How far, 0.1 to 1; all the way where it is left out.
    pub(in crate::lesson) amount: Option<Amount>,
    /// `"left"` or `"right"`; left where it is left out.
    pub(in crate::lesson) side: Option<Side>,
}

decimal! {
    /// How far a part goes to one side.
    Amount, "minimum": 0.1, "maximum": 1
}

/// A side of the stereo field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[schemars(inline)]
pub(in crate::lesson) enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// `track.practice`: a practice shape with what it needs.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(tag = "shape", rename_all = "lowercase", rename_all_fields = "kebab-case")]
#[serde(deny_unknown_fields)]
pub(in crate::lesson) enum PracticeEntry {
    /// All choruses, one after the other.
    Straight {},
    /// All choruses, to be played round and round.
    Loop {},
    /// Each phrase is followed by the same bars of harmony, in which the line rests.
    Answer {
        /// Bars of a phrase, 1 to 64; 4 where it is left out.
        bars: Option<Bars>,
    },
    /// Some bars as always, then as many of another, in turn over the form.
    Trading {
        /// Bars of a turn, 1 to 64; 4 where it is left out.
        bars: Option<Bars>,
        /// Who has the other turn: `"drums"`, alone, which is the default, or `"line"`: the line has
        /// the first turn and rests in the student's.
        with: Option<TradeWith>,
    },
    /// The tempo goes up, or down, in steps.
    Ladder {
        /// The first tempo, 20 to 400.
        from: Bpm,
        /// The last tempo, 20 to 400.
        to: Bpm,
        /// Beats per minute from one tempo to the next, 0.5 to 100; 4 where it is left out.
        step: Option<TempoStep>,
    },
    /// The form in one key after the other.
    #[serde(rename = "round the keys")]
    RoundTheKeys {
        /// `"fourths"`, `"semitones"`, `"whole steps"`; fourths where it is left out.
        order: Option<KeyOrder>,
        /// Whether a bar announces each new key by its dominant; true where it is left out.
        announce: Option<bool>,
    },
    /// The click sounds for some bars, then rests for some.
    #[serde(rename = "resting click")]
    RestingClick {
        /// Bars with click, 1 to 64; 4 where it is left out.
        sounding: Option<Bars>,
        /// Bars without, 1 to 64; 4 where it is left out.
        silent: Option<Bars>,
    },
}

/// A number of bars in a practice shape.
pub(in crate::lesson) type Bars = Bounded<NonZeroU32, 1, 64>;

decimal! {
    /// Beats per minute from one tempo of a ladder to the next.
    TempoStep, "minimum": 0.5, "maximum": 100
}

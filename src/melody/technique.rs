//! The techniques that a line can show.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use std::fmt;
use std::str::FromStr;

use crate::problem::nearest;

/// What a line is composed to show.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Technique {
    /// Runs through the chord's scale.
    ScaleRuns,
    /// Chord tones up to the ninth.
    ChordOutlines,
    /// Four-note cells 1 2 3 5.
    RootCells,
    /// The blues scale of the key.
    Blues,
    /// The key's seventh chords, one after the other.
    KeySevenths,
    /// Half steps below chord tones.
    LowerNeighbours,
    /// Half steps above chord tones.
    UpperNeighbours,
    /// A pentatonic scale for each chord.
    Pentatonics,
    /// Both neighbours, then the chord tone.
    Enclosures,
    /// Third, fifth, seventh and ninth.
    NinthArpeggios,
    /// Two half steps into a chord tone.
    DoubleApproaches,
    /// A scale for each chord, by its function.
    ChordScales,
    /// Two triads above each chord.
    TriadPairs,
    /// Fourths from the chord's scale.
    FourthStacks,
    /// One shape of four notes, shifted.
    ShiftedShapes,
}

/// The hardest grade.
const HARDEST: u8 = 5;

impl Technique {
    /// All of them, by grade.
    pub const ALL: [Technique; 15] = [
        Technique::ScaleRuns,
        Technique::ChordOutlines,
        Technique::RootCells,
        Technique::Blues,
        Technique::KeySevenths,
        Technique::LowerNeighbours,
        Technique::UpperNeighbours,
        Technique::Pentatonics,
        Technique::Enclosures,
        Technique::NinthArpeggios,
        Technique::DoubleApproaches,
        Technique::ChordScales,
        Technique::TriadPairs,
        Technique::FourthStacks,
        Technique::ShiftedShapes,
    ];

    /// Its name in lessons and on the command line.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Technique::ScaleRuns => "scale-runs",
            Technique::ChordOutlines => "chord-outlines",
            Technique::RootCells => "root-cells",
            Technique::Blues => "blues",
            Technique::KeySevenths => "key-sevenths",
            Technique::LowerNeighbours => "lower-neighbours",
            Technique::UpperNeighbours => "upper-neighbours",
            Technique::Pentatonics => "pentatonics",
            Technique::Enclosures => "enclosures",
            Technique::NinthArpeggios => "ninth-arpeggios",
            Technique::DoubleApproaches => "double-approaches",
            Technique::ChordScales => "chord-scales",
            Technique::TriadPairs => "triad-pairs",
            Technique::FourthStacks => "fourth-stacks",
            Technique::ShiftedShapes => "shifted-shapes",
        }
    }

    /// How hard it is to hear and to play, from 1 to 5 (our own judgement).
    #[must_use]
    pub const fn grade(self) -> u8 {
        match self {
            Technique::ScaleRuns
            | Technique::ChordOutlines
            | Technique::RootCells
            | Technique::Blues => 1,
            Technique::KeySevenths
            | Technique::LowerNeighbours
            | Technique::UpperNeighbours
            | Technique::Pentatonics => 2,
            Technique::Enclosures | Technique::NinthArpeggios | Technique::DoubleApproaches => 3,
            Technique::ChordScales | Technique::TriadPairs => 4,
            Technique::FourthStacks | Technique::ShiftedShapes => HARDEST,
        }
    }

    /// What the line does, in one sentence.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Technique::ScaleRuns => {
                "Runs through each chord's scale with turns; skips only between chord tones, which \
                 stand on the strong beats."
            }
            Technique::ChordOutlines => {
                "Each chord's own notes up to the ninth, up and down, in every inversion."
            }
            Technique::RootCells => {
                "Root, second, third and fifth of each chord as a cell of four notes, in orders \
                 without a leap."
            }
            Technique::Blues => {
                "Calls and answers in the blues scale of the key, with its blue notes, and with the \
                 third of each chord."
            }
            Technique::KeySevenths => {
                "The seventh chords of the key as four notes up or down, each a step from the one \
                 before or on its last note."
            }
            Technique::LowerNeighbours => "Chord tones, each led to by the half step below it.",
            Technique::UpperNeighbours => {
                "Chord tones, each led to by the half step above it or, with `upper = \"scale\"`, \
                 by the step of the scale."
            }
            Technique::Pentatonics => {
                "One pentatonic scale for each chord, without the eleventh that rubs against a \
                 major third."
            }
            Technique::Enclosures => {
                "The half step below a chord tone and the half step or the step of the scale above \
                 it, in either order, then the chord tone; with `upper = \"scale\"` always the step \
                 of the scale."
            }
            Technique::NinthArpeggios => {
                "Third, fifth, seventh and ninth of each chord, up, or down from the ninth."
            }
            Technique::DoubleApproaches => {
                "Two half steps in one direction into a chord tone, from below or above."
            }
            Technique::ChordScales => {
                "A scale for each chord by its function: eight notes on ii and I, altered on a \
                 dominant that resolves; chord tones on the beats, and the eighth note always \
                 passed through by half steps."
            }
            Technique::TriadPairs => {
                "Two triads from each chord's scale in turn, joined by a neighbour note; over a \
                 major third the scale has the raised eleventh."
            }
            Technique::FourthStacks => {
                "Fourths piled up from each chord's scale, which over a major third has the raised \
                 eleventh."
            }
            Technique::ShiftedShapes => {
                "One shape of four notes moved about by a fixed interval; the last one over each \
                 chord comes home into its scale."
            }
        }
    }

    /// Whether its notes come in groups of a fixed order.
    #[must_use]
    pub const fn is_in_groups(self) -> bool {
        matches!(
            self,
            Technique::KeySevenths
                | Technique::RootCells
                | Technique::NinthArpeggios
                | Technique::TriadPairs
                | Technique::FourthStacks
                | Technique::ShiftedShapes
        )
    }

    /// Whether leaps in one direction are its nature, so that more than two may follow each other.
    #[must_use]
    pub const fn is_arpeggio_or_stack(self) -> bool {
        matches!(
            self,
            Technique::ChordOutlines
                | Technique::KeySevenths
                | Technique::NinthArpeggios
                | Technique::TriadPairs
                | Technique::FourthStacks
        )
    }
}

impl fmt::Display for Technique {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// No technique has this name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "there is no technique named `{written}`{}",
    nearest.map_or_else(String::new, |name| format!("; did you mean `{name}`?"))
)]
pub struct TechniqueError {
    /// What was written.
    pub written: String,
    /// The nearest name.
    pub nearest: Option<&'static str>,
}

impl FromStr for Technique {
    type Err = TechniqueError;
    fn from_str(text: &str) -> Result<Technique, TechniqueError> {
        let found = Technique::ALL.into_iter().find(|technique| technique.name() == text.trim());
        found.ok_or_else(|| TechniqueError {
            written: text.to_owned(),
            nearest: nearest(text, Technique::ALL.map(Technique::name)),
        })
    }
}

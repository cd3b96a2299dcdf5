//! Who plays.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One player's notes.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Part {
    /// The left hand, or a band's piano.
    Comp,
    /// The bass.
    Bass,
    /// The drums.
    Drums,
    /// The right-hand line (or a left-hand one).
    Line,
    /// The click.
    #[serde(skip)]
    Click,
    /// The count-in.
    #[serde(skip)]
    CountIn,
}

impl Part {
    /// Its name in one word, as lessons, file names and random streams have it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Part::Comp => "comp",
            Part::Bass => "bass",
            Part::Drums => "drums",
            Part::Line => "line",
            Part::Click => "click",
            Part::CountIn => "count-in",
        }
    }
}

impl std::fmt::Display for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

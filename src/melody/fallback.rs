//! Where a technique could not be shown.

use std::fmt;

use super::Technique;

/// A chord over which a technique could not be shown, so that its outline was played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fallback {
    /// The bar that the chord begins in, counted from 1.
    pub bar: i64,
    /// The chord as written.
    pub chord: String,
    /// What could not be shown.
    pub technique: Technique,
    /// Why.
    pub reason: FallbackReason,
}

/// Why a technique could not be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FallbackReason {
    /// The chord is outside the key, and the technique stays in it.
    OutsideTheKey,
    /// The chord has nothing for the technique: no ninth, no third, no pair of triads.
    NothingToTake,
    /// The groups do not fit the time that the chord lasts.
    DoesNotFit,
    /// No line within the range keeps the technique's rules there.
    NoWay,
}

impl fmt::Display for Fallback {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Fallback { bar, chord, technique, reason } = self;
        let reason = match reason {
            FallbackReason::OutsideTheKey => "is outside the key",
            FallbackReason::NothingToTake => "has nothing for it",
            FallbackReason::DoesNotFit => "lasts too short or too odd a time for its groups",
            FallbackReason::NoWay => "cannot be reached by its rules within the range",
        };
        write!(f, "bar {bar}: {chord} {reason} ({technique}); the line plays its outline")
    }
}

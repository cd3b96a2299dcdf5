//! How eighth notes are played, as a chart says it.

use std::fmt;
use std::str::FromStr;

/// How eighth notes are to be played.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum FeelName {
    /// By tempo and player, after published measurements.
    #[default]
    Swing,
    /// Even eighths.
    Straight,
    /// A fixed ratio of the first eighth to the second, 1.0 to 4.0.
    Ratio(f64),
}

/// The text is no feel.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no feel: use swing, straight or a ratio between 1.0 and 4.0, such as 1.8")]
pub struct FeelNameError(pub String);

impl FeelName {
    /// The evenest ratio: two equal eighths.
    pub const MIN_RATIO: f64 = 1.0;
    /// The most uneven ratio taken. The widest mean published is 3.5 (Friberg & Sundström 1997).
    pub const MAX_RATIO: f64 = 4.0;

    /// A fixed ratio of the first eighth to the second.
    ///
    /// # Errors
    /// Outside 1.0 to 4.0, or not a number.
    pub fn ratio(ratio: f64) -> Result<FeelName, FeelNameError> {
        if (Self::MIN_RATIO..=Self::MAX_RATIO).contains(&ratio) {
            Ok(FeelName::Ratio(ratio))
        } else {
            Err(FeelNameError(ratio.to_string()))
        }
    }
}

impl FromStr for FeelName {
    type Err = FeelNameError;
    fn from_str(text: &str) -> Result<FeelName, FeelNameError> {
        match text.trim() {
            "swing" => Ok(FeelName::Swing),
            "straight" => Ok(FeelName::Straight),
            other => {
                let ratio = other.parse().map_err(|_| FeelNameError(text.to_owned()))?;
                FeelName::ratio(ratio)
            }
        }
    }
}

impl fmt::Display for FeelName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FeelName::Swing => f.write_str("swing"),
            FeelName::Straight => f.write_str("straight"),
            FeelName::Ratio(ratio) => write!(f, "{ratio}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feel_is_what_its_display_says() {
        for feel in [FeelName::Swing, FeelName::Straight, FeelName::Ratio(1.8)] {
            assert_eq!(feel.to_string().parse(), Ok(feel));
        }
    }

    #[test]
    fn ratios_outside_one_to_four_are_errors() {
        for text in ["0.9", "4.1", "NaN", "inf", "-2", "swung"] {
            assert!(text.parse::<FeelName>().is_err(), "{text}");
        }
    }
}

//! Text to style, with errors that point at the place.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::{StyleError, StyleFile};
use crate::problem::Problem;
use crate::schema::read_toml;

/// What every style file begins with, whatever its shelf.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
pub struct Heading {
    /// What it sounds like and what it is good for, in a sentence or two.
    pub description: String,
    /// Whom it suits.
    pub level: Level,
}

/// Whom a style suits; a hint, nothing more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Playable in the first months.
    Beginner,
    /// Playable by those who know their seventh chords.
    Intermediate,
    /// Asks for independence of hands or a good ear.
    Advanced,
}

impl std::fmt::Display for Level {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Level::Beginner => "beginner",
            Level::Intermediate => "intermediate",
            Level::Advanced => "advanced",
        })
    }
}

impl StyleFile {
    /// The file as a style of type `T`. Let `T` and its parts be `deny_unknown_fields`; what is
    /// wrong is said by the schema. Parts that check more than a schema can say do so in
    /// `Deserialize` (with `serde::de::Error::custom`) and get the place of the value for nothing.
    ///
    /// # Errors
    /// The text is not TOML, or not a style of this type.
    pub fn read<T: DeserializeOwned + JsonSchema>(&self) -> Result<T, StyleError> {
        read_toml(&self.text).map_err(|problems| {
            let unknown = || Problem::new("this is no style", 0..0);
            let first = problems.iter().min_by_key(|problem| problem.span.start).cloned();
            let problem = first.unwrap_or_else(unknown);
            let help = (!problem.help.is_empty()).then_some(problem.help);
            self.error(problem.span, problem.message, help)
        })
    }

    /// Only the heading, for lists; the rest of the file is not looked at.
    ///
    /// # Errors
    /// The text is not TOML, or description or level are missing or wrong.
    pub(crate) fn heading(&self) -> Result<Heading, StyleError> {
        self.read()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Deserialize, JsonSchema)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only errors are looked at")]
    struct Sample {
        description: String,
        level: Level,
        #[serde(default)]
        weight: f64,
    }

    fn error(text: &str) -> StyleError {
        let file =
            StyleFile { name: "x".into(), origin: "my/x.toml".into(), text: text.to_owned() };
        file.read::<Sample>().unwrap_err()
    }

    #[test]
    fn a_wrong_key_is_underlined_and_the_right_one_suggested() {
        let error = error("description = \"é\"\nlevel = \"beginner\"\nwieght = 2\n");
        assert_eq!(error.underlined(), "wieght");
        assert_eq!(error.line_and_column(), (3, 1));
        assert_eq!(error.to_string(), "unknown key `wieght`");
        let help = error.help.unwrap();
        assert_eq!(help, "did you mean `weight`? use description, level, weight");
    }

    #[test]
    fn a_wrong_word_is_underlined_and_the_right_one_suggested() {
        let error = error("description = \"é\"\nlevel = \"beginer\"\n");
        assert_eq!(error.underlined(), "\"beginer\"");
        assert_eq!(error.line_and_column(), (2, 9));
        assert!(error.help.unwrap().starts_with("did you mean \"beginner\"?"));
    }

    #[test]
    fn a_wrong_type_a_missing_key_and_broken_toml_are_located() {
        let wrong_type = error("description = \"a\"\nlevel = \"beginner\"\nweight = \"big\"");
        assert_eq!(wrong_type.underlined(), "\"big\"");
        assert_eq!(wrong_type.to_string(), "`weight` cannot be text");
        assert_eq!(wrong_type.help.as_deref(), Some("use a number"));
        let missing = error("level = \"beginner\"");
        assert_eq!(missing.to_string(), "`description` is missing");
        assert_eq!(missing.help.as_deref(), Some("add `description`: text in quotes"));
        assert_eq!(error("level = = 3\ndescription = 1").line_and_column().0, 1);
    }
}

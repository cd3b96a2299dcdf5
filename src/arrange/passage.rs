//! Passages of a tune by their names: `chorus 2`, `last chorus B`, `outro`.

use std::fmt;
use std::num::NonZeroU32;
use std::str::FromStr;

use super::{BarKind, Timeline};

/// Bars of a performance, by chorus, by section, or by both.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Passage {
    /// In which chorus; in all of them, and before, between and after, where it is left out.
    pub chorus: Option<Chorus>,
    /// In which section; all of the chorus where it is left out.
    pub section: Option<String>,
}

/// A chorus of a performance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Chorus {
    /// By its number, counted from 1.
    Number(NonZeroU32),
    /// The last one.
    Last,
}

/// The text names no passage.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` names no passage\nwrite \"chorus 2\", \"last chorus\", a section such as \"B\", or both: \"chorus 2 B\""
)]
pub struct PassageError(String);

impl FromStr for Passage {
    type Err = PassageError;

    fn from_str(text: &str) -> Result<Passage, PassageError> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let number = |word: &str| word.parse().ok().map(Chorus::Number);
        let (chorus, section) = match words.as_slice() {
            ["chorus", chorus, section @ ..] => (number(chorus), section),
            ["last", "chorus", section @ ..] => (Some(Chorus::Last), section),
            section => (None, section),
        };
        let section = match section {
            [] => None,
            [section] if *section != "chorus" => Some((*section).to_owned()),
            _ => return Err(PassageError(text.to_owned())),
        };
        let is_named = chorus.is_some() || (section.is_some() && words.len() == 1);
        is_named.then_some(Passage { chorus, section }).ok_or_else(|| PassageError(text.to_owned()))
    }
}

impl fmt::Display for Passage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let chorus = match self.chorus {
            Some(Chorus::Number(number)) => format!("chorus {number}"),
            Some(Chorus::Last) => "last chorus".to_owned(),
            None => String::new(),
        };
        let words = [chorus.as_str(), self.section.as_deref().unwrap_or_default()];
        f.write_str(words.join(" ").trim())
    }
}

impl Timeline {
    /// Which bars belong to a passage, bar by bar.
    #[must_use]
    pub fn belongs_to(&self, passage: &Passage) -> Vec<bool> {
        let last = self.bars.iter().map(|bar| bar.chorus).max().unwrap_or(0);
        let mut section = None;
        let mut kind = None;
        let belongs = self.bars.iter().map(|bar| {
            if kind != Some(bar.kind.passage()) || bar.section.is_some() {
                // The first bar of an answer is of the section that it answers.
                section = bar.section.as_deref();
            }
            kind = Some(bar.kind.passage());
            let in_chorus = passage.chorus.is_none_or(|chorus| {
                bar.kind.passage() == BarKind::Chorus
                    && match chorus {
                        Chorus::Number(number) => bar.chorus + 1 == number.get(),
                        Chorus::Last => bar.chorus == last,
                    }
            });
            in_chorus && passage.section.as_deref().is_none_or(|wanted| section == Some(wanted))
        });
        belongs.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passages_are_read_as_they_are_written() {
        for text in ["chorus 2", "last chorus", "chorus 3 B", "last chorus A", "outro", "B"] {
            assert_eq!(text.parse::<Passage>().unwrap().to_string(), text);
        }
        for text in ["", "chorus", "chorus 0", "chorus B", "last", "A B", "chorus 1 A B", "2"] {
            let passage = text.parse::<Passage>();
            let is_section = ["last", "2"].contains(&text);
            assert_eq!(passage.is_ok(), is_section, "{text}: {passage:?}");
        }
    }
}

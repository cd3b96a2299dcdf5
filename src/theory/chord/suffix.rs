//! Reads what follows the root of a chord symbol.

use super::error::ReadError;
use super::spelling::{Base, Extension, Spelling};
use crate::theory::Degree;
use crate::theory::note_name::read_accidentals;

/// Words that begin a suffix; a longer one comes before its own beginning.
const BASES: [(&str, Base); 36] = [
    ("major", Base::Major),
    ("minor", Base::Minor),
    ("maj", Base::Major),
    ("Maj", Base::Major),
    ("MAJ", Base::Major),
    ("ma", Base::Major),
    ("Ma", Base::Major),
    ("MA", Base::Major),
    ("min", Base::Minor),
    ("Min", Base::Minor),
    ("MIN", Base::Minor),
    ("mi", Base::Minor),
    ("Mi", Base::Minor),
    ("MI", Base::Minor),
    ("dom", Base::Dominant),
    ("dim", Base::Diminished),
    ("aug", Base::Augmented),
    ("M", Base::Major),
    ("m", Base::Minor),
    ("-", Base::Minor),
    ("‐", Base::Minor),
    ("‑", Base::Minor),
    ("–", Base::Minor),
    ("−", Base::Minor),
    ("Δ", Base::Delta),
    ("∆", Base::Delta),
    ("△", Base::Delta),
    ("^", Base::Delta),
    ("j", Base::Delta),
    ("°", Base::Diminished),
    ("º", Base::Diminished),
    ("˚", Base::Diminished),
    ("o", Base::Diminished),
    ("ø", Base::HalfDiminished),
    ("Ø", Base::HalfDiminished),
    ("+", Base::Augmented),
];

/// Words whose beginning looks like one of [`BASES`], with what they begin with.
const FALSE_BASES: [(&str, &str); 3] = [("madd", "ma"), ("malt", "ma"), ("omit", "o")];

const EXTENSIONS: [(&str, Extension); 9] = [
    ("6/9", Extension::SixthNinth),
    ("69", Extension::SixthNinth),
    ("13", Extension::Thirteenth),
    ("11", Extension::Eleventh),
    ("9", Extension::Ninth),
    ("7", Extension::Seventh),
    ("6", Extension::Sixth),
    ("5", Extension::Power),
    ("", Extension::None),
];

const MAJOR_SEVENTH_WORDS: [&str; 11] =
    ["maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "Δ", "∆", "△", "^"];

/// A minus as keyboards have it, and as a text that corrects itself makes it: a hyphen, two kinds of it,
/// a dash, the sign of mathematics.
const MINUS: [&str; 5] = ["-", "‐", "‑", "–", "−"];

/// Reads a suffix such as `m7b5` or `13(b9,#11)` into degrees, lowest number first.
pub(crate) fn parse_suffix(text: &str) -> Result<Vec<Degree>, ReadError> {
    let mut reader = Reader { text, at: 0, brackets: Vec::new() };
    let mut spelling = reader.base()?;
    while reader.at < text.len() {
        reader.modifier(&mut spelling)?;
    }
    if let Some(&open) = reader.brackets.last() {
        return Err(ReadError {
            message: "this bracket is not closed".to_owned(),
            span: open..open + 1,
        });
    }
    Ok(spelling.into_degrees())
}

/// The word that a suffix begins with, and its bytes.
pub(super) fn first_word(suffix: &str) -> (Base, usize) {
    let is_false = |word: &str| {
        FALSE_BASES.iter().any(|&(longer, start)| start == word && suffix.starts_with(longer))
    };
    let base = BASES.into_iter().find(|&(word, _)| suffix.starts_with(word) && !is_false(word));
    base.map_or((Base::Plain, 0), |(word, base)| (base, word.len()))
}

/// The number that comes next, and its bytes.
pub(super) fn first_number(rest: &str) -> (Extension, usize) {
    let extension = EXTENSIONS.into_iter().find(|(word, _)| rest.starts_with(word));
    extension.map_or((Extension::None, 0), |(word, extension)| (extension, word.len()))
}

/// Whether a major seventh is written somewhere in it.
pub(super) fn has_major_seventh(rest: &str) -> bool {
    MAJOR_SEVENTH_WORDS.iter().any(|word| rest.contains(word))
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
    /// Where brackets were opened that are still open.
    brackets: Vec<usize>,
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn take(&mut self, word: &str) -> bool {
        let found = self.rest().starts_with(word);
        if found {
            self.at += word.len();
        }
        found
    }

    fn error<T>(&self, from: usize, message: impl Into<String>) -> Result<T, ReadError> {
        Err(ReadError { message: message.into(), span: from..self.at.max(from) })
    }

    /// The word and the number at the beginning.
    fn base(&mut self) -> Result<Spelling, ReadError> {
        let (base, length) = first_word(self.rest());
        self.at += length;
        let from = self.at;
        let extension = self.extension();
        match Spelling::new(base, extension) {
            Some(spelling) => Ok(spelling),
            None => self.error(
                from,
                format!("`{}` does not go with this kind of chord", &self.text[from..self.at]),
            ),
        }
    }

    fn extension(&mut self) -> Extension {
        let (extension, length) = first_number(self.rest());
        self.at += length;
        extension
    }

    /// One bracket, separator or change to the chord so far.
    fn modifier(&mut self, spelling: &mut Spelling) -> Result<(), ReadError> {
        let from = self.at;
        if self.take(" ") || self.take(",") || self.take("/") {
            return Ok(());
        }
        if self.take("(") {
            self.brackets.push(from);
            return Ok(());
        }
        if self.take(")") {
            return match self.brackets.pop() {
                Some(_) => Ok(()),
                None => self.error(from, "this bracket was never opened"),
            };
        }
        if self.take("sus") {
            self.suspension(spelling);
            return Ok(());
        }
        if self.take("alt") {
            return self.altered(spelling, from);
        }
        if self.take("add") {
            return self.addition(spelling, from);
        }
        if self.take("no") || self.take("omit") {
            return self.omission(spelling, from);
        }
        if MAJOR_SEVENTH_WORDS.into_iter().any(|word| self.take(word)) {
            return self.major_seventh(spelling, from);
        }
        if self.rest().starts_with(|character: char| character.is_ascii_digit()) {
            return self.bare_number(spelling, from);
        }
        self.alteration(spelling, from)
    }

    fn suspension(&mut self, spelling: &mut Spelling) {
        let second = self.take("2");
        let fourth = self.take("4") || !second;
        if second {
            spelling.suspend(2);
        }
        if fourth {
            spelling.suspend(4);
        }
    }

    fn altered(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        let plain = [Extension::None, Extension::Seventh]
            .into_iter()
            .any(|extension| Spelling::new(Base::Plain, extension).as_ref() == Some(&*spelling));
        if !plain {
            return self.error(from, "`alt` stands alone or after a 7, as in `7alt`");
        }
        spelling.make_altered();
        Ok(())
    }

    fn addition(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        let (alter, length) = read_accidentals(self.rest());
        self.at += length;
        match (alter, self.number()) {
            (0, Some(number @ (2..=6 | 9 | 11 | 13)))
            | (-1, Some(number @ (6 | 9 | 13)))
            | (1, Some(number @ (9 | 11))) => {
                spelling.add(Degree::new(number, alter));
                Ok(())
            }
            _ => self.error(from, "`add` takes 2, 4, 6, 9, 11 or 13, as in `add9`"),
        }
    }

    fn omission(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        match self.number() {
            Some(number @ (3 | 5)) => {
                spelling.omit(number);
                Ok(())
            }
            _ => self.error(from, "only the third or the fifth can be left out, as in `no5`"),
        }
    }

    fn major_seventh(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        let extension = self.extension();
        if spelling.has_number(7) {
            return self.error(from, "the chord has a seventh already");
        }
        if matches!(extension, Extension::Power | Extension::Sixth | Extension::SixthNinth) {
            return self.error(from, "a major seventh is written `maj7`, `maj9` or `maj13`");
        }
        spelling.add_major_seventh(extension);
        Ok(())
    }

    /// A number in brackets adds a degree: `7(13)`.
    fn bare_number(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        match self.number() {
            Some(number @ (2 | 4 | 6 | 9 | 11 | 13)) if !self.brackets.is_empty() => {
                spelling.add(Degree::natural(number));
                Ok(())
            }
            Some(number @ (2 | 4)) => {
                self.error(from, format!("a {number} is written `add{number}` or `sus{number}`"))
            }
            _ => self.error(from, format!("`{}` does not fit here", &self.text[from..self.at])),
        }
    }

    /// `b9`, `#11`, `-5`, and `+` alone for a raised fifth.
    fn alteration(&mut self, spelling: &mut Spelling, from: usize) -> Result<(), ReadError> {
        let alter = if self.take("#") || self.take("♯") || self.take("+") {
            1
        } else if self.take("b") || self.take("♭") || MINUS.into_iter().any(|sign| self.take(sign))
        {
            -1
        } else {
            self.at = self.text.len();
            return self.error(from, format!("`{}` is not understood", &self.text[from..]));
        };
        let sign = &self.text[from..self.at];
        match (self.number(), alter) {
            (None, 1) if sign == "+" => spelling.alter(Degree::new(5, 1)),
            (Some(number @ (5 | 9)), alter) => spelling.alter(Degree::new(number, alter)),
            (Some(4 | 11), 1) => spelling.alter(Degree::new(11, 1)),
            (Some(number @ (6 | 13)), -1) => spelling.alter(Degree::new(number, -1)),
            (Some(7), 1) => return self.major_seventh(spelling, from),
            _ => {
                let message = format!(
                    "`{}` is no alteration: there are b5 #5 b9 #9 #11 b13",
                    &self.text[from..self.at]
                );
                return self.error(from, message);
            }
        }
        Ok(())
    }

    /// Digits as a number; `None` if there are none or it is no small number. Where the digits
    /// run on (`b913`), as many are taken as make a degree.
    fn number(&mut self) -> Option<u8> {
        let digits = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        let two = (digits >= 2 && self.rest().starts_with('1')).then_some(2);
        let length = two.unwrap_or(digits.min(1));
        let number = self.rest()[..length].parse().ok()?;
        self.at += length;
        Some(number)
    }
}

//! A text with a reading position.

use super::error::AbcProblem;
use super::fraction::Fraction;

/// The longest that a number in a length may be: a breve in units of 1/512.
const MOST_UNITS: i64 = 1024;

/// A text with a reading position.
pub(super) struct Cursor<'text> {
    pub(super) text: &'text str,
    /// In bytes; always between two signs.
    pub(super) at: usize,
}

impl<'text> Cursor<'text> {
    pub(super) fn new(text: &'text str) -> Cursor<'text> {
        Cursor { text, at: 0 }
    }

    /// `2`, `3/2`, `/2`, `//`, or nothing for one.
    pub(super) fn length(&mut self) -> Result<Fraction, AbcProblem> {
        let start = self.at;
        let above = self.number();
        let slashes = self.skip(|sign| sign == '/');
        let below = match (slashes, self.number()) {
            (0, _) => Some(1),
            (1, Some(below)) => Some(below),
            (_, None) => u32::try_from(slashes).ok().and_then(|times| 2_i64.checked_pow(times)),
            (_, Some(_)) => None,
        };
        let sane = |number: &i64| (1..=MOST_UNITS).contains(number);
        match (above.or(Some(1)).filter(sane), below.filter(sane)) {
            (Some(above), Some(below)) => Ok(Fraction::new(above, below)),
            _ => Err(AbcProblem::Length(self.text[start..self.at].to_owned())),
        }
    }

    /// What stands between this sign and its partner in the same line.
    pub(super) fn enclosed(&mut self, partner: char) -> Result<&'text str, AbcProblem> {
        let open = self.peek().unwrap_or(partner);
        self.advance();
        let rest = self.rest();
        let line = &rest[..rest.find('\n').unwrap_or(rest.len())];
        let Some(end) = line.find(partner) else { return Err(AbcProblem::NotClosed(open)) };
        self.at += end + partner.len_utf8();
        Ok(&line[..end])
    }

    /// Whether the letter here has a colon behind it that is no repeat sign.
    pub(super) fn is_field(&self) -> bool {
        let mut signs = self.rest().chars().skip(1);
        signs.next() == Some(':') && !matches!(signs.next(), Some('|' | ':'))
    }

    /// Whether only blanks stand before the position in its line.
    pub(super) fn is_first_in_line(&self) -> bool {
        self.text[..self.at].rsplit('\n').next().is_none_or(|before| before.trim().is_empty())
    }

    /// A number of digits only.
    pub(super) fn number(&mut self) -> Option<i64> {
        let digits = self.take_while(|sign| sign.is_ascii_digit());
        (!digits.is_empty()).then(|| digits.parse().unwrap_or(i64::MAX))
    }

    pub(super) fn rest(&self) -> &'text str {
        &self.text[self.at..]
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub(super) fn advance(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    pub(super) fn take_while(&mut self, fits: impl Fn(char) -> bool) -> &'text str {
        let rest = self.rest();
        let taken = &rest[..rest.find(|sign| !fits(sign)).unwrap_or(rest.len())];
        self.at += taken.len();
        taken
    }

    pub(super) fn skip(&mut self, fits: impl Fn(char) -> bool) -> usize {
        self.take_while(fits).chars().count()
    }
}

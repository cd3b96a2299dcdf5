//! Cuts a text into signs.

use std::ops::Range;

use super::MOST_BARS;
use super::cursor::Cursor;
use super::error::AbcProblem;
use super::fraction::Fraction;
use super::mark;
use super::omitted::Omitted;
use super::token::{Placed, RepeatSign, Token, WrittenNote};
use crate::theory::Letter;

/// How often a passage can be played.
const MOST_PASSES: u32 = 9;

/// Something that is no sign, with its bytes.
pub(super) type Slip = (AbcProblem, Range<usize>);

/// Gives the signs of a text, one after the other.
pub(super) struct Scanner<'text> {
    cursor: Cursor<'text>,
}

impl<'text> Scanner<'text> {
    pub(super) fn new(text: &'text str) -> Scanner<'text> {
        Scanner { cursor: Cursor::new(text) }
    }

    /// The next sign; `None` at the end. After a slip it goes on behind it.
    pub(super) fn next(&mut self) -> Option<Result<Placed<'text>, Slip>> {
        loop {
            self.cursor
                .skip(|sign| sign.is_whitespace() || matches!(sign, '`' | '\\' | '$' | '\u{feff}'));
            let start = self.cursor.at;
            let sign = self.cursor.peek()?;
            let found = match sign {
                '%' => match self.comment() {
                    Some(directive) => Ok(Token::Directive(directive)),
                    None => continue,
                },
                'A'..='Z' | 'a'..='z'
                    if self.cursor.is_field() && self.cursor.is_first_in_line() =>
                {
                    Ok(self.line_field())
                }
                '(' => match self.open_parenthesis() {
                    Some(tuplet) => tuplet,
                    None => continue,
                },
                ')' | 'y' => {
                    self.cursor.advance();
                    self.cursor.number();
                    continue;
                }
                _ => self.sign(sign),
            };
            let span = start..self.cursor.at;
            return Some(match found {
                Ok(token) => Ok(Placed { token, span }),
                Err(problem) => Err((problem, span)),
            });
        }
    }

    fn sign(&mut self, sign: char) -> Result<Token<'text>, AbcProblem> {
        match sign {
            'A'..='G' | 'a'..='g' | '^' | '_' | '=' => {
                let note = self.note()?;
                Ok(Token::Strike { notes: vec![note], times: Fraction::ONE })
            }
            'z' | 'x' => {
                self.cursor.advance();
                Ok(Token::Rest(self.cursor.length()?))
            }
            'Z' | 'X' => {
                self.cursor.advance();
                self.bars_of_rest().map(Token::RestOfBars)
            }
            '|' | ':' => self.bar_line(),
            '[' => self.bracket(),
            ']' => {
                self.cursor.advance();
                Ok(Token::BarLine)
            }
            '-' => {
                self.cursor.advance();
                Ok(Token::Tie)
            }
            '>' | '<' => {
                let signs = self.cursor.skip(|next| next == sign);
                Ok(Token::Broken { first_longer: sign == '>', signs })
            }
            '{' => self.cursor.enclosed('}').map(|_| Token::Omitted(Omitted::GraceNotes)),
            '"' => self.cursor.enclosed('"').map(|text| {
                let annotates = text.starts_with(['^', '_', '<', '>', '@']);
                Token::Omitted(if annotates { Omitted::Annotation } else { Omitted::ChordSymbol })
            }),
            '!' | '+' => self.cursor.enclosed(sign).map(|name| match mark::named(name) {
                Ok(mark) => Token::Mark(mark),
                Err(omitted) => Token::Omitted(omitted),
            }),
            '&' => {
                self.cursor.advance();
                Ok(Token::Overlay)
            }
            other => {
                self.cursor.advance();
                match mark::short(other) {
                    // A dot before a bar line is a dotted bar line.
                    Some(_) if other == '.' && self.cursor.peek() == Some('|') => self.bar_line(),
                    Some(Ok(mark)) => Ok(Token::Mark(mark)),
                    Some(Err(omitted)) => Ok(Token::Omitted(omitted)),
                    None => Err(AbcProblem::UnknownSign(other)),
                }
            }
        }
    }

    /// The number behind a `Z`; one bar where there is none.
    fn bars_of_rest(&mut self) -> Result<u32, AbcProblem> {
        let start = self.cursor.at;
        let bars = self.cursor.number().unwrap_or(1);
        let bars = u32::try_from(bars).ok().filter(|bars| (1..=MOST_BARS).contains(bars));
        bars.ok_or_else(|| {
            AbcProblem::Length(format!("Z{}", &self.cursor.text[start..self.cursor.at]))
        })
    }

    /// A note: accidental, letter, octave signs, length.
    fn note(&mut self) -> Result<WrittenNote, AbcProblem> {
        let start = self.cursor.at;
        let accidental = match self.cursor.take_while(|sign| matches!(sign, '^' | '_' | '=')) {
            "" => None,
            "^" => Some(1),
            "^^" => Some(2),
            "_" => Some(-1),
            "__" => Some(-2),
            "=" => Some(0),
            _ => return Err(AbcProblem::NoNote),
        };
        let sign =
            self.cursor.peek().filter(char::is_ascii_alphabetic).ok_or(AbcProblem::NoNote)?;
        let letter = Letter::from_char(sign.to_ascii_uppercase()).ok_or(AbcProblem::NoNote)?;
        self.cursor.advance();
        let mut octave: i8 = if sign.is_ascii_lowercase() { 5 } else { 4 };
        for sign in self.cursor.take_while(|sign| matches!(sign, ',' | '\'')).chars() {
            octave = octave.saturating_add(if sign == ',' { -1 } else { 1 });
        }
        let length = self.cursor.length()?;
        Ok(WrittenNote {
            accidental,
            letter,
            octave,
            length,
            tied: false,
            span: start..self.cursor.at,
        })
    }

    /// `[`: an inline field, a bar line, the number of an ending, or notes struck together.
    fn bracket(&mut self) -> Result<Token<'text>, AbcProblem> {
        self.cursor.advance();
        match self.cursor.peek() {
            Some('|' | ']') => return self.bar_line(),
            Some(sign) if sign.is_ascii_digit() => {
                return self
                    .endings()
                    .map(|endings| Token::Repeat(RepeatSign { endings, ..RepeatSign::default() }));
            }
            Some(letter) if letter.is_ascii_alphabetic() && self.cursor.is_field() => {
                let value_at = self.cursor.at + 2;
                let Some(end) = self
                    .cursor
                    .rest()
                    .find(['\n', ']'])
                    .filter(|end| self.cursor.rest()[*end..].starts_with(']'))
                else {
                    return Err(AbcProblem::NotClosed('['));
                };
                let value = &self.cursor.text[value_at..self.cursor.at + end];
                self.cursor.at += end + 1;
                return Ok(Token::Field { letter, value, value_at });
            }
            _ => {}
        }
        let mut notes: Vec<WrittenNote> = Vec::new();
        loop {
            self.cursor.skip(|sign| matches!(sign, ' ' | '\t' | '`' | '(' | ')'));
            match self.cursor.peek() {
                Some(']') => break,
                Some('-') => {
                    self.cursor.advance();
                    if let Some(note) = notes.last_mut() {
                        note.tied = true;
                    }
                }
                // Fingering and playing signs inside of a chord.
                Some(sign @ ('!' | '"' | '+')) => {
                    self.cursor.enclosed(sign)?;
                }
                Some('.' | '~' | 'u' | 'v') => self.cursor.advance(),
                Some('A'..='G' | 'a'..='g' | '^' | '_' | '=') => notes.push(self.note()?),
                Some(sign) if !sign.is_whitespace() && sign != '|' => {
                    self.cursor.advance();
                    return Err(AbcProblem::UnknownSign(sign));
                }
                _ => return Err(AbcProblem::NotClosed('[')),
            }
        }
        self.cursor.advance();
        if notes.is_empty() {
            return Err(AbcProblem::NoNote);
        }
        Ok(Token::Strike { notes, times: self.cursor.length()? })
    }

    /// Any run of `|`, `:`, `[`, `]` that begins here, with an ending's number behind it.
    fn bar_line(&mut self) -> Result<Token<'text>, AbcProblem> {
        let start = self.cursor.at;
        let signs = self.cursor.take_while(|sign| matches!(sign, '|' | ':' | ']'));
        let endings = self.endings()?;
        if endings.is_empty() && !signs.contains(':') {
            return Ok(Token::BarLine);
        }
        // `::` is `:|:`, and more colons play it more often.
        let (before, after) = match signs.split_once(|sign| sign != ':') {
            Some((before, rest)) => (before.len(), rest.ends_with(':')),
            None => (signs.len() / 2, true),
        };
        let closes = u32::try_from(before).ok().filter(|closes| *closes < MOST_PASSES);
        let closes = closes.ok_or_else(|| self.too_often(start))?;
        Ok(Token::Repeat(RepeatSign { closes, opens: after, endings }))
    }

    /// The numbers of an ending, `1`, `1,3` or `1-3`; none where there is no number.
    fn endings(&mut self) -> Result<Vec<u32>, AbcProblem> {
        let start = self.cursor.at;
        if !self.cursor.peek().is_some_and(|sign| sign.is_ascii_digit()) {
            return Ok(Vec::new());
        }
        let written =
            self.cursor.take_while(|sign| sign.is_ascii_digit() || matches!(sign, ',' | '-'));
        let mut endings = Vec::new();
        for part in written.split(',').filter(|part| !part.is_empty()) {
            let (first, last) = part.split_once('-').unwrap_or((part, part));
            match (first.parse::<u32>(), last.parse::<u32>()) {
                (Ok(first), Ok(last)) if 1 <= first && first <= last && last <= MOST_PASSES => {
                    endings.extend(first..=last);
                }
                _ => return Err(self.too_often(start)),
            }
        }
        Ok(endings)
    }

    fn too_often(&self, start: usize) -> AbcProblem {
        AbcProblem::Times(self.cursor.text[start..self.cursor.at].to_owned())
    }

    /// `(3`, `(3:2:4`; a parenthesis with no number is a slur, and nothing.
    fn open_parenthesis(&mut self) -> Option<Result<Token<'text>, AbcProblem>> {
        let start = self.cursor.at;
        self.cursor.advance();
        let notes = self.cursor.number()?;
        let mut more = [None, None];
        for place in &mut more {
            if self.cursor.peek() != Some(':') {
                break;
            }
            self.cursor.advance();
            *place = self.cursor.number();
        }
        let sane = |number: i64| u32::try_from(number).ok().filter(|n| (1..=16).contains(n));
        let sane_or_none = |number: Option<i64>| match number {
            None => Some(None),
            Some(number) => sane(number).map(Some),
        };
        let [in_time_of, over] = more.map(sane_or_none);
        Some(match (sane(notes).filter(|notes| *notes > 1), in_time_of, over) {
            (Some(notes), Some(in_time_of), Some(over)) => {
                Ok(Token::Tuplet { notes, in_time_of, over })
            }
            _ => Err(AbcProblem::Tuplet(self.cursor.text[start..self.cursor.at].to_owned())),
        })
    }

    /// A field that takes the rest of its line.
    fn line_field(&mut self) -> Token<'text> {
        let letter = self.cursor.peek().unwrap_or('X');
        let value_at = self.cursor.at + 2;
        let line = self.cursor.take_while(|sign| sign != '\n');
        let value = line.get(2..).unwrap_or_default();
        let value = value.split('%').next().unwrap_or_default();
        Token::Field { letter, value, value_at }
    }

    /// A comment to the end of its line; a directive if it begins with two signs.
    fn comment(&mut self) -> Option<&'text str> {
        self.cursor.take_while(|sign| sign != '\n').strip_prefix("%%")
    }
}

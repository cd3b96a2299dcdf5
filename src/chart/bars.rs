//! Words become written bars, each with its repeat signs and ending numbers.

use std::ops::Range;

use super::error::{Found, Problem};
use super::token::{Token, TokenKind};

/// One bar as written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct WrittenBar<'text> {
    /// From its first word to its last; or the bar line, where a repeat sign is what is meant.
    pub(super) span: Range<usize>,
    /// Chords and signs, without ending numbers; never empty in a chart from text.
    pub(super) words: Vec<Token<'text>>,
    /// A repeat begins with this bar; the bytes of its sign.
    pub(super) opens: Option<Range<usize>>,
    /// A repeat ends with this bar; the bytes of its sign.
    pub(super) closes: Option<Range<usize>>,
    /// How often a repeat that ends here is played, where that is more than twice; a repeat with
    /// endings is played as often as these say.
    pub(super) times: u8,
    /// The passes that this bar's ending is for, where one begins here.
    pub(super) endings: Vec<u8>,
}

/// Gathers words into bars. `text` is what the words were found in: its line breaks end bars, too. Bar
/// lines at the end of one line and at the start of the next are one, with an empty line between them
/// or not.
pub(super) fn written_bars<'text>(
    text: &str,
    tokens: Vec<Token<'text>>,
) -> (Vec<WrittenBar<'text>>, Vec<Found>) {
    let mut gathering = Gathering::default();
    for token in tokens {
        match token.kind {
            TokenKind::BarLine { opens, closes } => {
                gathering.bar_line(text, token.span, opens, closes);
            }
            TokenKind::Ending(pass) => {
                gathering.line_break(text, token.span.start);
                gathering.ending(token.span, pass);
            }
            _ => {
                gathering.line_break(text, token.span.start);
                gathering.bar.words.push(token);
            }
        }
    }
    gathering.finish_bar();
    (gathering.bars, gathering.errors)
}

#[derive(Default)]
struct Gathering<'text> {
    bars: Vec<WrittenBar<'text>>,
    /// The bar that is being gathered.
    bar: WrittenBar<'text>,
    /// The last bar line, where it was a plain one.
    plain_line: Option<Range<usize>>,
    errors: Vec<Found>,
}

impl Gathering<'_> {
    fn bar_line(&mut self, text: &str, span: Range<usize>, opens: bool, closes: bool) {
        let plain = !opens && !closes;
        if !self.finish_bar() {
            let line_before = self.plain_line.take().filter(|_| plain);
            if let Some(before) = line_before
                && !text[before.end..span.start].contains('\n')
            {
                self.errors.push(Found::at(before.start..span.end, Problem::EmptyBar));
            }
        }
        if closes {
            match self.bars.last_mut() {
                Some(last) => last.closes = Some(span.clone()),
                None => self.errors.push(Found::at(span.clone(), Problem::RepeatUnopened)),
            }
        }
        if opens {
            self.bar.opens = Some(span.clone());
        }
        self.plain_line = plain.then_some(span);
    }

    /// A line of text ends a bar, whether a bar line says so or not.
    fn line_break(&mut self, text: &str, start: usize) {
        let last = self.bar.words.last().map(|word| word.span.end);
        if last.and_then(|last| text.get(last..start)).is_some_and(|gap| gap.contains('\n')) {
            self.finish_bar();
        }
    }

    fn ending(&mut self, span: Range<usize>, pass: u8) {
        if !self.bar.words.is_empty() {
            self.errors.push(Found::at(span, Problem::EndingInsideBar));
        } else if !(1..=super::MOST_PASSES).contains(&pass) {
            self.errors.push(Found::at(span, Problem::EndingNumber));
        } else {
            self.bar.endings.push(pass);
        }
    }

    /// Puts the gathered bar to the others; false where there was nothing in it.
    fn finish_bar(&mut self) -> bool {
        let (Some(first), Some(last)) = (self.bar.words.first(), self.bar.words.last()) else {
            return false;
        };
        self.bar.span = first.span.start..last.span.end;
        self.bars.push(std::mem::take(&mut self.bar));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::super::token::tokens;
    use super::*;

    fn read(text: &str) -> (usize, Vec<Found>) {
        let (bars, errors) = written_bars(text, tokens(text).0);
        (bars.len(), errors)
    }

    #[test]
    fn bar_lines_at_the_end_and_start_of_lines_are_one() {
        assert_eq!(read("| C | F |\n\n| G | C ||"), (4, vec![]));
        assert_eq!(read("C | F | G"), (3, vec![]));
        assert_eq!(read("| C | F\nG | C"), (4, vec![]));
        assert_eq!(read("C F\n1. G :|\n2. C"), (3, vec![]));
    }

    #[test]
    fn an_empty_bar_is_told_with_both_its_lines() {
        assert_eq!(read("| C | | F |").1, [Found::at(4..7, Problem::EmptyBar)]);
    }

    #[test]
    fn repeat_signs_beside_a_bar_line_make_no_empty_bar() {
        assert_eq!(read("| C :| |: F :|"), (2, vec![]));
    }
}

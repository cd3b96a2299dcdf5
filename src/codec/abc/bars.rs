//! Bar lines, and whether what stands between them is a bar.

use std::ops::Range;

use super::error::AbcProblem;
use super::fraction::Fraction;
use crate::units::{Meter, Meters};

/// A bar that is wrong: what, where, and which.
pub(super) type WrongBar = (AbcProblem, Range<usize>, u32);

/// The bars so far.
pub(super) struct Bars<'a> {
    meters: Meters<'a>,
    /// Where the bar that is being read begins.
    start: Fraction,
    /// Its bytes: from its first sign.
    first_byte: Option<usize>,
    last_byte: usize,
    /// Its number, counted from 1; 0 until it is known whether the first is a pickup.
    number: u32,
    pickup: Fraction,
    /// Whether there has been a bar line.
    any_line: bool,
    /// A bar before this that is too short, unless it was the last.
    short: Option<WrongBar>,
}

impl<'a> Bars<'a> {
    pub(super) fn new(meters: Meters<'a>) -> Bars<'a> {
        Bars {
            meters,
            start: Fraction::ZERO,
            first_byte: None,
            last_byte: 0,
            number: 0,
            pickup: Fraction::ZERO,
            any_line: false,
            short: None,
        }
    }

    /// The index of the bar that is being read.
    fn index(&self) -> usize {
        usize::try_from(self.number.saturating_sub(1)).unwrap_or(usize::MAX)
    }

    /// The meter of the bar that is being read.
    pub(super) fn meter(&self) -> Meter {
        self.meters.of_bar(self.index())
    }

    /// How long so many bars are, from the one that is being read.
    pub(super) fn length(&self, bars: u32) -> Fraction {
        Fraction::of_ticks(self.meters.length(self.index(), bars))
    }

    fn full(&self) -> Fraction {
        Fraction::of_ticks(self.meter().bar())
    }

    pub(super) fn pickup(&self) -> Fraction {
        self.pickup
    }

    /// The number of the bar that is being read; 0 before the first bar line.
    pub(super) fn number(&self) -> u32 {
        self.number
    }

    /// A note or rest begins; gives the bar before, if that was too short.
    pub(super) fn begin(&mut self, span: Range<usize>) -> Option<WrongBar> {
        self.first_byte.get_or_insert(span.start);
        self.last_byte = span.end;
        self.short.take()
    }

    /// A rest of several bars begins; they end with the next bar line.
    pub(super) fn skip(&mut self, bars: u32) {
        self.start = self.start + self.length(bars);
        if bars > 0 {
            self.number = self.number.max(1).saturating_add(bars);
        }
    }

    /// A bar line at a time; gives the bar that it ends, if that was too long.
    pub(super) fn line(&mut self, at: Fraction, span: Range<usize>) -> Option<WrongBar> {
        let is_first = !std::mem::replace(&mut self.any_line, true);
        let length = at - self.start;
        if length.is_zero() && self.first_byte.is_none() {
            // The line before the first bar, or one of a double bar.
            self.number = self.number.max(1);
            return None;
        }
        let first = self.first_byte.take().unwrap_or(span.start);
        let bytes = self.bytes_from(first);
        self.start = at;
        let full = self.full();
        if is_first && length.is_less(full) {
            self.pickup = length;
            self.number = 1;
            return None;
        }
        let bar = self.number.max(1);
        self.number = bar.saturating_add(1);
        if length == full {
            return None;
        }
        let wrong = (wrong(bar, length, full), bytes, bar);
        if length.is_less(full) {
            self.short = Some(wrong);
            return None;
        }
        Some(wrong)
    }

    /// Whether a repeat sign at a time stands between bars. It may also stand in the middle of one,
    /// where a pickup is repeated, or before all notes.
    pub(super) fn is_between(&self, at: Fraction) -> bool {
        match (self.any_line, self.first_byte) {
            (false, None) => false,
            (false, Some(_)) => true,
            (true, _) => {
                let length = at - self.start;
                length.is_zero() || !length.is_less(self.full())
            }
        }
    }

    /// The end of the text; gives the last bar, if that was too long. Without any bar line there
    /// are no bars to be wrong.
    pub(super) fn finish(&mut self, at: Fraction) -> Option<WrongBar> {
        let length = at - self.start;
        if at == self.pickup {
            // Nothing follows: it was a short bar, not a pickup.
            self.pickup = Fraction::ZERO;
        }
        let bytes = self.bytes_from(self.first_byte?);
        let full = self.full();
        let too_long = self.any_line && full.is_less(length);
        too_long.then(|| (wrong(self.number, length, full), bytes, self.number))
    }

    /// How many bars there are in all, up to a time.
    pub(super) fn count(&self, at: Fraction) -> i64 {
        self.meters.count((at - self.pickup).ticks())
    }

    /// The bytes of the bar that is being read; one that goes on where a repeat began is all of that.
    fn bytes_from(&self, first: usize) -> Range<usize> {
        first.min(self.last_byte)..first.max(self.last_byte)
    }
}

fn wrong(bar: u32, found: Fraction, wanted: Fraction) -> AbcProblem {
    AbcProblem::BarLength { bar, found: found.in_quarters(), wanted: wanted.in_quarters() }
}

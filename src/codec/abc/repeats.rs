//! Writes out repeats and endings, sign by sign.

use std::ops::Range;

use super::error::AbcProblem;
use super::token::{Placed, RepeatSign, Token};

/// A sign, or what is wrong in its place.
pub(super) type Scanned<'text> = Result<Placed<'text>, (AbcProblem, Range<usize>)>;

/// All signs in the order in which they are played. `:|` without `|:` goes back to the start of the
/// text, if no repeat has come before it.
pub(super) fn written_out<'text>(signs: &[Scanned<'text>]) -> Vec<Scanned<'text>> {
    let mut played = Vec::with_capacity(signs.len());
    let mut passage = Some(Passage::from(signs, first_of_music(signs)));
    let mut next = 0;
    while let Some(sign) = signs.get(next) {
        next += 1;
        let Some(repeat) = repeat_sign(sign) else {
            played.push(sign.clone());
            continue;
        };
        played.push(sign.clone());
        if repeat.closes > 0 {
            match &mut passage {
                Some(passage) if passage.pass < passage.passes => {
                    passage.pass += 1;
                    next = passage.start;
                    continue;
                }
                Some(last) => {
                    // The ending that was played last need not stand last.
                    if !repeat.endings.is_empty() && !repeat.endings.contains(&last.pass) {
                        next = last.ending(signs, next);
                    }
                    passage = None;
                }
                None => played.extend(unopened(sign)),
            }
        }
        if repeat.opens {
            passage = Some(Passage::from(signs, next));
        } else if let (Some(passage), false) = (&passage, repeat.endings.is_empty())
            && !repeat.endings.contains(&passage.pass)
        {
            next = passage.ending(signs, next);
        }
    }
    played
}

/// What is repeated, and how far that has come.
struct Passage {
    /// Its first sign.
    start: usize,
    /// Which time it is played, from 1.
    pass: u32,
    /// How often it is played.
    passes: u32,
}

impl Passage {
    fn from(signs: &[Scanned<'_>], start: usize) -> Passage {
        let rest = signs.get(start..).unwrap_or_default();
        let mut passes = 1;
        for repeat in rest.iter().filter_map(repeat_sign) {
            let last_ending = repeat.endings.iter().copied().max().unwrap_or(0);
            let closes = if repeat.closes > 0 { repeat.closes + 1 } else { 0 };
            passes = passes.max(last_ending).max(closes);
            if repeat.opens {
                break;
            }
        }
        Passage { start, pass: 1, passes }
    }

    /// Where the ending of this time begins, after one of another time; where there is none, what
    /// follows the endings.
    fn ending(&self, signs: &[Scanned<'_>], from: usize) -> usize {
        let places = || {
            let later = signs.iter().enumerate().skip(from);
            let repeats = later.filter_map(|(at, sign)| Some((at, repeat_sign(sign)?)));
            repeats.take_while(|(_, repeat)| !repeat.opens || repeat.closes > 0)
        };
        let own = places().find(|(_, repeat)| repeat.endings.contains(&self.pass));
        let found = own.or_else(|| places().find(|(_, repeat)| repeat.closes > 0));
        found.map_or(from, |(at, repeat)| if repeat.opens { at } else { at + 1 })
    }
}

/// The first sign behind the fields at the head.
fn first_of_music(signs: &[Scanned<'_>]) -> usize {
    let head = |sign: &Scanned<'_>| {
        matches!(
            sign,
            Ok(Placed { token: Token::Field { .. } | Token::Directive(_) | Token::Omitted(_), .. })
        )
    };
    signs.iter().position(|sign| !head(sign)).unwrap_or(0)
}

fn repeat_sign<'a>(sign: &'a Scanned<'_>) -> Option<&'a RepeatSign> {
    match sign {
        Ok(Placed { token: Token::Repeat(repeat), .. }) => Some(repeat),
        _ => None,
    }
}

fn unopened<'text>(sign: &Scanned<'text>) -> Option<Scanned<'text>> {
    sign.as_ref().ok().map(|placed| Err((AbcProblem::Repeat, placed.span.clone())))
}

#[cfg(test)]
mod tests {
    use crate::codec::abc::{AbcProblem, Defaults, read};
    use crate::units::{Meter, Meters};

    /// The letters of the notes in the order in which they are played.
    fn played(text: &str) -> String {
        let tune = read(text, Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 });
        let tune = tune.unwrap_or_else(|errors| panic!("{text}: {errors:?}"));
        tune.notes.iter().map(|note| note.pitch.to_string().remove(0)).collect()
    }

    #[test]
    fn repeats_are_written_out() {
        for (text, order) in [
            ("|: c8 :| d8 |", "CCD"),
            ("c8 :| d8 |]", "CCD"),
            ("|: c8 :|: d8 :| e8", "CCDDE"),
            ("|: c8 :: d8 :|", "CCDD"),
            ("|:: c8 ::| d8", "CCCD"),
            ("e8 | |: c8 | d8 :|", "ECDCD"),
            ("|: c8 |1 d8 :|2 e8 | f8", "CDCEF"),
            ("|: c8 |1 d8 :|2 e8 :| f8", "CDCEF"),
            ("|: c8 [1 d8 :| [2 e8 || f8", "CDCEF"),
            ("|: c8 |1 d8 :| f8", "CDCF"),
            ("|: c8 |1,2 d8 :|3 e8 |", "CDCDCE"),
            ("|: c8 |1,3 d8 :|2 e8 :| f8", "CDCECDF"),
            ("c8 |1 d8 :|2 e8 |: f8 |1 g8 :|2 a8 |]", "CDCEFGFA"),
            ("X:1\nK:C\nc8 :|", "CC"),
        ] {
            assert_eq!(played(text), order, "{text}");
        }
    }

    /// A pickup inside of the repeat, and the last bar that leaves room for it.
    #[test]
    fn a_repeat_may_stand_inside_of_a_bar() {
        let tune = read(
            "|: G2 | c8 | d6 :|",
            Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 },
        );
        let tune = tune.unwrap();
        let starts: Vec<i64> = tune.notes.iter().map(|note| note.at.0 / 480).collect();
        assert_eq!(starts, [-2, 0, 8, 14, 16, 24]);
        assert_eq!(tune.bars, 4);
    }

    #[test]
    fn a_repeat_must_have_a_beginning_and_a_number_of_times() {
        let problem = |text: &str| {
            read(text, Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 })
                .unwrap_err()
                .remove(0)
                .problem
        };
        assert_eq!(problem("|: c8 :| d8 :| e8"), AbcProblem::Repeat);
        assert_eq!(problem("c8 |0 d8 :|"), AbcProblem::Times("0".to_owned()));
        assert_eq!(problem("c8 |1-12 d8 :|"), AbcProblem::Times("1-12".to_owned()));
        assert!(matches!(problem("|: c8 ::::::::::| d8"), AbcProblem::Times(_)));
        // What is repeated is wrong once.
        let errors = read(
            "|: c7 | d8 :|",
            Defaults { meters: Meters::constant(Meter::FourFour), fifths: 0 },
        );
        assert_eq!(errors.unwrap_err().len(), 1);
    }
}

//! Fields: a letter, a colon and what it says.

use super::error::AbcProblem;
use super::fraction::Fraction;
use super::omitted::Omitted;
use crate::units::Meter;

/// What a field means to a reader of notes.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Field<'text> {
    /// A key signature, still to be read against the one before.
    Key(&'text str),
    /// The unit of lengths, in whole notes.
    Unit(Fraction),
    /// The voice that follows.
    Voice(&'text str),
    /// A tune begins.
    Number,
    /// Read over, with a warning.
    Omitted(Omitted),
    /// Read over: it does not concern what is heard.
    Silent,
}

/// Reads a field; its meter must be as long as the chart's.
pub(super) fn read(letter: char, value: &str, meter: Meter) -> Result<Field<'_>, AbcProblem> {
    let value = value.trim();
    Ok(match letter {
        'K' => Field::Key(value),
        'L' => Field::Unit(unit(value)?),
        'M' => {
            check_meter(value, meter)?;
            Field::Silent
        }
        'V' => Field::Voice(value.split_whitespace().next().unwrap_or_default()),
        'X' => Field::Number,
        'Q' => Field::Omitted(Omitted::Tempo),
        'P' => Field::Omitted(Omitted::Parts),
        'w' | 's' => Field::Omitted(Omitted::Lyrics),
        'm' | 'U' => return Err(AbcProblem::Field(letter)),
        _ => Field::Silent,
    })
}

fn unit(value: &str) -> Result<Fraction, AbcProblem> {
    let wrong = || AbcProblem::UnitLength(value.to_owned());
    let (above, below) = value.split_once('/').unwrap_or((value, "1"));
    let number = |text: &str| text.trim().parse().ok().filter(|n| (1..=512).contains(n));
    let (above, below) = (number(above).ok_or_else(wrong)?, number(below).ok_or_else(wrong)?);
    Ok(Fraction::new(above, below))
}

/// A meter must give the chart's bar; `C` and `C|` are 4/4 and 2/2.
fn check_meter(value: &str, meter: Meter) -> Result<(), AbcProblem> {
    let written = match value {
        "C" => "4/4",
        "C|" => "2/2",
        other => other,
    };
    let cut_or_common = |meter| matches!(meter, Meter::FourFour | Meter::TwoTwo);
    match written.parse() {
        Ok(found) if found == meter || cut_or_common(found) && cut_or_common(meter) => Ok(()),
        _ => Err(AbcProblem::Meter { found: value.to_owned(), wanted: meter.to_string() }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_must_be_the_charts_but_for_cut_time() {
        assert_eq!(read('M', "C|", Meter::FourFour), Ok(Field::Silent));
        assert_eq!(read('M', "6/8", Meter::SixEight), Ok(Field::Silent));
        assert!(read('M', "6/8", Meter::ThreeFour).is_err());
        assert!(read('M', "3/4", Meter::FourFour).is_err());
        assert!(read('M', "none", Meter::FourFour).is_err());
    }

    #[test]
    fn unit_lengths_are_fractions() {
        assert_eq!(read('L', "1/16", Meter::FourFour), Ok(Field::Unit(Fraction::new(1, 16))));
        for value in ["", "0", "1/0", "1/513", "a/b", "-1/8"] {
            assert!(read('L', value, Meter::FourFour).is_err(), "{value}");
        }
    }
}

//! The form: in which order sections make a chorus.

use super::error::{ChartError, Place, Problem};
use crate::problem::{nearest, visible};

/// The sections of one chorus, as indices into `names`, in the order in which they are played.
///
/// A chart with one section needs no form. Names stand between blanks; sections of one letter
/// may be written together, `AABA`.
pub(super) fn order(form: Option<&str>, names: &[&str]) -> Result<Vec<usize>, Vec<ChartError>> {
    let Some(form) = form else {
        return match names {
            [_] => Ok(vec![0]),
            _ => Err(vec![ChartError {
                place: Place::Chart,
                span: 0..0,
                problem: Problem::FormMissing(visible(&names.join(" ")).into_owned()),
            }]),
        };
    };
    let mut order = Vec::new();
    let mut errors = Vec::new();
    for (start, word) in words(form) {
        match sections(word, names) {
            Some(sections) => order.extend(sections),
            None => {
                let problem = unknown(word, names);
                let span = start..start + word.len();
                errors.push(ChartError { place: Place::Form, span, problem });
            }
        }
    }
    if order.is_empty() && errors.is_empty() {
        errors.push(ChartError {
            place: Place::Form,
            span: 0..form.len(),
            problem: Problem::FormEmpty,
        });
    }
    if errors.is_empty() { Ok(order) } else { Err(errors) }
}

/// The words of a form with their first bytes.
fn words(form: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let rest = form[at..].trim_start();
        let start = form.len() - rest.len();
        let word = &rest[..rest.find(char::is_whitespace).unwrap_or(rest.len())];
        at = start + word.len();
        (!word.is_empty()).then_some((start, word))
    })
}

/// Any letter is as near to another as the next, so a single one gets no suggestion.
fn unknown(word: &str, names: &[&str]) -> Problem {
    let suggestion = nearest(word, names.iter().copied()).filter(|_| word.chars().count() > 1);
    Problem::UnknownSection {
        name: visible(word).into_owned(),
        suggestion: suggestion.map(str::to_owned),
        known: names.iter().map(|name| visible(name).into_owned()).collect(),
    }
}

/// The section of this name; or the sections of these letters, where all of them exist.
fn sections(word: &str, names: &[&str]) -> Option<Vec<usize>> {
    let named = |wanted: &str| names.iter().position(|name| *name == wanted);
    match named(word) {
        Some(section) => Some(vec![section]),
        None => word.chars().map(|letter| named(letter.encode_utf8(&mut [0; 4]))).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_come_in_the_order_of_the_form() {
        assert_eq!(order(Some("A A B A"), &["A", "B"]), Ok(vec![0, 0, 1, 0]));
        assert_eq!(order(Some("intro AABA"), &["A", "B", "intro"]), Ok(vec![2, 0, 0, 1, 0]));
        assert_eq!(order(None, &["A"]), Ok(vec![0]));
    }

    #[test]
    fn every_unknown_section_is_told_with_its_bytes() {
        let errors = order(Some("A intor A C"), &["A", "intro"]).unwrap_err();
        let spans: Vec<_> = errors.iter().map(|error| error.span.clone()).collect();
        assert_eq!(spans, [2..7, 10..11]);
        assert_eq!(errors[0].help().as_deref(), Some("did you mean `intro`?"));
        assert_eq!(errors[1].help().as_deref(), Some("the chart has A, intro"));
    }

    #[test]
    fn several_sections_need_a_form() {
        let errors = order(None, &["A", "B"]).unwrap_err();
        assert_eq!(errors[0].problem, Problem::FormMissing("A B".to_owned()));
        assert_eq!(order(Some("  "), &["A"]).unwrap_err()[0].problem, Problem::FormEmpty);
    }
}

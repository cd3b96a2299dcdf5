//! The form: in which order sections make a chorus, and which are played besides.

use super::Within;
use super::error::{ChartError, Place, Problem};
use crate::problem::{nearest, visible};

/// The order of a chart's sections, and what is other in some of them.
///
/// Sections called `intro`, `interlude` and `outro` are played once before the first chorus, between
/// choruses, and once after the last; where an order names one of them, it is a section of that
/// chorus like any other.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FormSource<'text> {
    /// The sections of one chorus; may be left out where there is one.
    pub chorus: Option<&'text str>,
    /// The sections of the last chorus, where it differs.
    pub last: Option<&'text str>,
    /// Sections in which key, meter, feel or pace is another, by name.
    pub within: &'text [(&'text str, Within<'text>)],
}

impl<'text> FormSource<'text> {
    /// The names of sections that are played besides the choruses.
    pub const BESIDES: [&'static str; 3] = ["intro", "interlude", "outro"];

    /// Choruses that are all alike.
    #[must_use]
    pub const fn of(chorus: &'text str) -> FormSource<'text> {
        FormSource { chorus: Some(chorus), last: None, within: &[] }
    }

    /// What is other in a section.
    pub(super) fn within(&self, section: &str) -> Within<'text> {
        let found = self.within.iter().find(|(name, _)| *name == section);
        found.map(|(_, within)| *within).unwrap_or_default()
    }

    /// Which section is played when.
    pub(super) fn order(&self, names: &[&str]) -> Result<Order, Vec<ChartError>> {
        let last = self.last.map(|last| written(last, names, &Place::Last));
        let (last, mut errors) = match last.transpose() {
            Ok(last) => (last, Vec::new()),
            Err(errors) => (None, errors),
        };
        let unknown = self.within.iter().filter(|(name, _)| !names.contains(name));
        errors.extend(unknown.map(|(name, _)| ChartError {
            place: Place::Within((*name).to_owned()),
            span: 0..0,
            problem: unknown_section(name, names),
        }));
        let named_by_last = |index: usize| last.iter().flatten().any(|named| *named == index);
        let is_beside = |index: usize| Self::BESIDES.contains(&names[index]);
        let chorus = match self.chorus {
            Some(chorus) => written(chorus, names, &Place::Form),
            None => {
                let all = 0..names.len();
                let own: Vec<usize> = all.filter(|index| !is_beside(*index)).collect();
                let first: Vec<usize> =
                    own.iter().copied().filter(|index| !named_by_last(*index)).collect();
                match (&own[..], &first[..]) {
                    ([one], _) | (_, [one]) => Ok(vec![*one]),
                    _ => Err(vec![ChartError {
                        place: Place::Chart,
                        span: 0..0,
                        problem: Problem::FormMissing(visible(&names.join(" ")).into_owned()),
                    }]),
                }
            }
        };
        match chorus {
            Ok(chorus) if errors.is_empty() => {
                let besides = Self::BESIDES.map(|beside| {
                    let index = names.iter().position(|name| *name == beside)?;
                    let is_named = chorus.contains(&index) || named_by_last(index);
                    (!is_named).then_some(index)
                });
                Ok(Order { chorus, last, besides })
            }
            Ok(_) => Err(errors),
            Err(mut of_chorus) => {
                of_chorus.append(&mut errors);
                Err(of_chorus)
            }
        }
    }
}

/// Which section is played when, as indices into the names of the sections.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Order {
    pub(super) chorus: Vec<usize>,
    pub(super) last: Option<Vec<usize>>,
    /// The sections of [`FormSource::BESIDES`] that no chorus has.
    pub(super) besides: [Option<usize>; 3],
}

impl Order {
    pub(super) fn plays(&self, section: usize) -> bool {
        self.chorus.contains(&section)
            || self.last.iter().flatten().any(|named| *named == section)
            || self.besides.contains(&Some(section))
    }

    /// For each section of the last chorus which section of a chorus it is, by its place in the
    /// order; none for one that only the last chorus has. Sections keep their order: after the `B`
    /// of an `A A B A` comes its last `A`.
    pub(super) fn in_chorus(&self, last: &[usize]) -> Vec<Option<usize>> {
        let mut from = 0;
        let place = |section: &usize| {
            let ahead = self.chorus.get(from..).unwrap_or_default();
            let place = from + ahead.iter().position(|ahead| ahead == section)?;
            from = place + 1;
            Some(place)
        };
        last.iter().map(place).collect()
    }
}

/// The sections that an order names. Names stand between blanks; sections of one letter may be
/// written together, `AABA`.
fn written(form: &str, names: &[&str], of: &Place) -> Result<Vec<usize>, Vec<ChartError>> {
    let mut order = Vec::new();
    let mut errors = Vec::new();
    for (start, word) in words(form) {
        match sections(word, names) {
            Some(sections) => order.extend(sections),
            None => {
                let problem = unknown_section(word, names);
                let span = start..start + word.len();
                errors.push(ChartError { place: of.clone(), span, problem });
            }
        }
    }
    if order.is_empty() && errors.is_empty() {
        errors.push(ChartError {
            place: of.clone(),
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
fn unknown_section(word: &str, names: &[&str]) -> Problem {
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

    fn chorus(form: Option<&str>, names: &[&str]) -> Result<Vec<usize>, Vec<ChartError>> {
        let form = FormSource { chorus: form, ..FormSource::default() };
        form.order(names).map(|order| order.chorus)
    }

    #[test]
    fn sections_come_in_the_order_of_the_form() {
        assert_eq!(chorus(Some("A A B A"), &["A", "B"]), Ok(vec![0, 0, 1, 0]));
        assert_eq!(chorus(Some("intro AABA"), &["A", "B", "intro"]), Ok(vec![2, 0, 0, 1, 0]));
        assert_eq!(chorus(None, &["A"]), Ok(vec![0]));
        assert_eq!(chorus(None, &["A", "intro", "outro"]), Ok(vec![0]));
    }

    #[test]
    fn a_section_that_no_chorus_names_is_played_besides() {
        let names = ["A", "B", "intro", "outro", "tag"];
        let form = FormSource { last: Some("A B A tag"), ..FormSource::of("A A B A") };
        let order = form.order(&names).unwrap();
        assert_eq!(order.besides, [Some(2), None, Some(3)]);
        let last = order.last.clone().unwrap();
        assert_eq!(order.in_chorus(&last), [Some(0), Some(2), Some(3), None]);
        let form = FormSource::of("intro A B");
        assert_eq!(form.order(&names).unwrap().besides, [None, None, Some(3)]);
        assert!(!form.order(&names).unwrap().plays(4));
    }

    #[test]
    fn every_unknown_section_is_told_with_its_bytes() {
        let errors = chorus(Some("A intor A C"), &["A", "intro"]).unwrap_err();
        let spans: Vec<_> = errors.iter().map(|error| error.span.clone()).collect();
        assert_eq!(spans, [2..7, 10..11]);
        assert_eq!(errors[0].help().as_deref(), Some("did you mean `intro`?"));
        assert_eq!(errors[1].help().as_deref(), Some("the chart has A, intro"));
        let last = FormSource { last: Some("A tga"), ..FormSource::of("A") };
        let errors = last.order(&["A", "tag"]).unwrap_err();
        assert_eq!((&errors[0].place, errors[0].span.clone()), (&Place::Last, 2..5));
        let within = [("C", Within::default())];
        let within = FormSource { within: &within, ..FormSource::of("A") };
        let errors = within.order(&["A"]).unwrap_err();
        assert_eq!(errors[0].place, Place::Within("C".to_owned()));
    }

    #[test]
    fn several_sections_need_a_form() {
        let errors = chorus(None, &["A", "B"]).unwrap_err();
        assert_eq!(errors[0].problem, Problem::FormMissing("A B".to_owned()));
        assert_eq!(chorus(Some("  "), &["A"]).unwrap_err()[0].problem, Problem::FormEmpty);
    }
}

//! The texts of a chart, and reading all of them.

use std::ops::Range;

use super::bars::{WrittenBar, written_bars};
use super::error::{ChartError, Found, Place, Problem};
use super::{
    Bar, Chart, FeelName, FormSource, Pace, Roadmap, Setting, Slot, fill, hits, repeat, token,
};
use crate::problem::{is_invisible, visible};
use crate::theory::Key;
use crate::units::{Meter, Ticks};

/// A chart as written.
///
/// ```
/// use countoff::chart::{ChartSource, FeelName, FormSource};
/// use countoff::units::Meter;
/// let chart = ChartSource {
///     name: "minor-cadence",
///     key: "Gm".parse()?,
///     meter: Meter::FourFour,
///     feel: FeelName::Swing,
///     form: FormSource::of("A A B A"),
///     sections: &[("A", "| Am7b5 | D7b9 | Gm6 | % |"), ("B", "| Cm7 F7 | Bbmaj7 |")],
/// }
/// .parse()
/// .map_err(|errors| errors[0].clone())?;
/// assert_eq!(chart.bars.len(), 14);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartSource<'text> {
    /// The name that tracks refer to.
    pub name: &'text str,
    /// The key that it is written in; Roman numerals take their pitch from it.
    pub key: Key,
    /// Its meter.
    pub meter: Meter,
    /// How its eighth notes are played.
    pub feel: FeelName,
    /// The order of the sections, and what changes in them.
    pub form: FormSource<'text>,
    /// The sections with their bars.
    pub sections: &'text [(&'text str, &'text str)],
}

impl ChartSource<'_> {
    /// The most bars that a chorus may have; ten minutes of a fast waltz.
    pub const MOST_BARS: usize = super::MOST_BARS;

    /// The most bytes of text that its sections may have in all: 64 for each bar.
    pub const MOST_BYTES: usize = 64 * Self::MOST_BARS;

    /// Reads the chart.
    ///
    /// # Errors
    /// Everything that is wrong with it, in the order of the sections.
    pub fn parse(&self) -> Result<Chart, Vec<ChartError>> {
        let names: Vec<&str> = self.sections.iter().map(|(name, _)| *name).collect();
        if self.sections.iter().all(|(_, text)| text.trim().is_empty()) {
            return Err(vec![whole_chart(Problem::NoBars)]);
        }
        let bytes = self.sections.iter().map(|(_, text)| text.len()).sum();
        if bytes > Self::MOST_BYTES {
            return Err(vec![whole_chart(Problem::TooMuchText { bytes, most: Self::MOST_BYTES })]);
        }
        let mut errors = Vec::new();
        for name in &names {
            if name.contains(is_invisible) {
                let place = Place::Section { name: (*name).to_owned(), bar: None };
                let problem = Problem::SectionName(visible(name).into_owned());
                errors.push(ChartError { place, span: 0..0, problem });
            }
        }
        let mut sections: Vec<Vec<Bar>> = Vec::new();
        for (name, text) in self.sections {
            match self.section(name, text) {
                Ok(bars) => sections.push(bars),
                Err(found) => errors.extend(found),
            }
        }
        let order = match self.form.order(&names) {
            Ok(order) if errors.is_empty() => order,
            order => {
                errors.extend(order.err().into_iter().flatten());
                return Err(errors);
            }
        };
        let all = |order: &[usize]| -> Vec<Bar> {
            order.iter().flat_map(|&section| sections[section].iter().cloned()).collect()
        };
        let numbered = |mut bars: Vec<Bar>| {
            for (number, bar) in (0..).zip(&mut bars) {
                bar.form_bar = number;
            }
            bars
        };
        let beside = |section: Option<usize>| numbered(all(section.as_slice()));
        let bars = numbered(all(&order.chorus));
        let last = order.last.as_ref().map(|last| {
            let lengths = order.chorus.iter().map(|&section| sections[section].len());
            let starts: Vec<usize> = lengths
                .scan(0, |start, length| {
                    *start += length;
                    Some(*start - length)
                })
                .collect();
            let mut end = bars.len();
            let mut of_last = all(last);
            let places = order.in_chorus(last).into_iter().zip(last);
            let numbers = places.flat_map(|(place, &section)| {
                let length = sections[section].len();
                let start = place.map_or(end, |place| starts[place]);
                end += if place.is_none() { length } else { 0 };
                start..start + length
            });
            for (bar, number) in of_last.iter_mut().zip(numbers) {
                bar.form_bar = u32::try_from(number).unwrap_or(u32::MAX);
            }
            of_last
        });
        let [intro, interlude, outro] = order.besides.map(beside);
        let roadmap = Roadmap { intro, interlude, last, outro };
        if bars.len().max(roadmap.last.as_ref().map_or(0, Vec::len)) > Self::MOST_BARS {
            return Err(vec![whole_chart(Problem::TooLong(Self::MOST_BARS))]);
        }
        Ok(Chart {
            name: self.name.to_owned(),
            key: self.key,
            meter: self.meter,
            feel: self.feel,
            bars,
            roadmap,
        })
    }

    /// What holds in a section.
    fn setting(&self, section: &str) -> Setting {
        let chart =
            Setting { key: self.key, meter: self.meter, feel: self.feel, pace: Pace::STEADY };
        self.form.within(section).applied(chart)
    }

    /// The sections that the form does not play: worth a word, but no error.
    #[must_use]
    pub fn unplayed_sections(&self) -> Vec<&str> {
        let names: Vec<&str> = self.sections.iter().map(|(name, _)| *name).collect();
        let Ok(order) = self.form.order(&names) else { return Vec::new() };
        let unplayed = names.iter().enumerate().filter(|(index, _)| !order.plays(*index));
        unplayed.map(|(_, name)| *name).collect()
    }

    /// Reads one section, with its repeats written out.
    fn section(&self, name: &str, text: &str) -> Result<Vec<Bar>, Vec<ChartError>> {
        let (tokens, mut found) = token::tokens(text);
        let (written, more) = written_bars(text, tokens);
        found.extend(more);
        if written.len() > Self::MOST_BARS {
            let problem = Problem::TooLong(Self::MOST_BARS);
            return Err(vec![placed(name, &[], Found::at(0..text.len(), problem))]);
        }
        if written.is_empty() && found.is_empty() {
            found.push(Found::at(0..text.len(), Problem::NoBars));
        }
        let order = repeat::play_order(&written).unwrap_or_else(|problem| {
            found.push(problem);
            (0..written.len()).collect()
        });
        let setting = self.setting(name);
        let filled = fill_bars(&written, &order, setting, &mut found);
        if found.is_empty() {
            let hits = self.form.within(name).hits.unwrap_or_default();
            let hits = hits::read(hits, setting.meter, order.len()).map_err(|found| {
                let place = Place::Hits(name.to_owned());
                let placed =
                    |Found { span, problem }| ChartError { place: place.clone(), span, problem };
                found.into_iter().map(placed).collect::<Vec<_>>()
            })?;
            let bars = order.iter().zip(hits).enumerate().map(|(position, (&bar, hits))| Bar {
                hits,
                section: (position == 0).then(|| name.to_owned()),
                form_bar: 0,
                setting: Setting { pace: setting.pace.piece(position, order.len()), ..setting },
                slots: filled[bar].clone(),
            });
            return Ok(bars.collect());
        }
        found.sort_by_key(|found| (found.span.start, found.span.end));
        Err(found.into_iter().map(|found| placed(name, &written, found)).collect())
    }
}

/// What sounds in each written bar. A simile sign looks back to the bar that is played before it the
/// first time, so at the start of a second ending to the bar before the first.
fn fill_bars(
    written: &[WrittenBar<'_>],
    order: &[usize],
    setting: Setting,
    found: &mut Vec<Found>,
) -> Vec<Vec<Slot>> {
    let mut filled: Vec<Option<Vec<Slot>>> = vec![None; written.len()];
    let mut before: Option<usize> = None;
    for &bar in order {
        if filled[bar].is_none() {
            let sounding = before.and_then(|before| filled[before].as_deref());
            let slots = fill::slots(&written[bar], setting.key, setting.meter, sounding);
            filled[bar] = Some(slots.unwrap_or_else(|errors| {
                found.extend(errors);
                vec![Slot { at: Ticks::ZERO, length: setting.meter.bar(), chord: None }]
            }));
        }
        before = Some(bar);
    }
    filled.into_iter().map(Option::unwrap_or_default).collect()
}

fn whole_chart(problem: Problem) -> ChartError {
    ChartError { place: Place::Chart, span: 0..0, problem }
}

/// A problem of a section with the number of the bar that it lies in.
fn placed(section: &str, written: &[WrittenBar<'_>], found: Found) -> ChartError {
    let bar = bar_number(written, &found.span);
    let place = Place::Section { name: section.to_owned(), bar };
    ChartError { place, span: found.span, problem: found.problem }
}

/// The number, counted from 1, of the bar in which a span begins, or before which it stands.
fn bar_number(written: &[WrittenBar<'_>], span: &Range<usize>) -> Option<u32> {
    if written.is_empty() {
        return None;
    }
    let bars_before = written.partition_point(|bar| bar.span.end <= span.start);
    u32::try_from((bars_before + 1).min(written.len())).ok()
}

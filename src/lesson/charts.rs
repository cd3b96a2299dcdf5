//! The check of the charts.

use std::collections::BTreeMap;

use crate::chart::{Chart, ChartError, ChartSource, FeelName, LeadSheetSource, Place};
use crate::codec::musicxml;
use crate::problem::{Problem, nearest};
use crate::theory::Key;
use crate::units::Meter;

use super::checker::Checker;
use super::file::{ChartEntry, FeelEntry, LessonFile};
use super::places::Step;

/// The keys of a chart that are not sections.
const KEYS: [&str; 6] = ["name", "key", "meter", "feel", "form", "musicxml"];

impl Checker<'_> {
    /// All charts, in the order of the file; `None` for one that cannot be read.
    pub(super) fn charts(&mut self, file: &LessonFile) -> Vec<Option<Chart>> {
        if file.chart.is_empty() {
            let help =
                "add a [[chart]] with a name, a key and the bars, such as A = \"| Dm7 | G7 |\"";
            self.say("the lesson has no chart", &[], help);
        }
        file.chart
            .iter()
            .enumerate()
            .map(|(index, entry)| {
                if file.chart[..index].iter().any(|earlier| earlier.name == entry.name) {
                    let message = format!("there are two charts named `{}`", entry.name);
                    let path = [Step::Key("chart"), Step::Entry(index), Step::Key("name")];
                    self.say(message, &path, "give each chart a name of its own");
                }
                self.chart(index, entry)
            })
            .collect()
    }

    fn chart(&mut self, index: usize, entry: &ChartEntry) -> Option<Chart> {
        let at = |key| [Step::Key("chart"), Step::Entry(index), Step::Key(key)];
        if entry.name.trim().is_empty() {
            self.say(
                "the chart's name is empty",
                &at("name"),
                "give it a name for tracks to refer to",
            );
        }
        let meter = entry.meter.as_ref().map(|text| text.parse::<Meter>());
        let key = entry.key.as_ref().map(|text| text.parse::<Key>());
        let feel = match &entry.feel {
            FeelEntry::Word(word) => word.parse::<FeelName>(),
            FeelEntry::Ratio(ratio) => FeelName::ratio(*ratio),
        };
        if let Some(Err(error)) = &meter {
            self.say(error.to_string(), &at("meter"), "");
        }
        if let Some(Err(error)) = &key {
            self.say(error.to_string(), &at("key"), "");
        }
        if let Err(error) = &feel {
            let right = match &entry.feel {
                FeelEntry::Word(word) => nearest(word, ["swing", "straight"]),
                FeelEntry::Ratio(_) => None,
            };
            let help = right.map(|right| format!("did you mean \"{right}\"?"));
            self.say(error.to_string(), &at("feel"), help.unwrap_or_default());
        }
        let sections = self.sections(index, entry);
        let (meter, key, feel) = (meter.transpose().ok()?, key.transpose().ok()?, feel.ok()?);
        if let Some(path) = &entry.musicxml {
            return self.lead_sheet(entry, index, path, key, feel);
        }
        let Some(key) = key else {
            let path = [Step::Key("chart"), Step::Entry(index)];
            self.say("the chart has no key", &path, "add a key, such as key = \"Gm\"");
            return None;
        };
        let texts: Vec<(&str, &str)> =
            sections.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        let source = ChartSource {
            name: &entry.name,
            key,
            meter: meter.unwrap_or(Meter::FourFour),
            feel,
            form: entry.form.as_deref(),
            sections: &texts,
        };
        source.parse().map_err(|errors| self.chart_errors(index, &errors)).ok()
    }

    /// What stands in a chart beside its known keys: sections where the name is a capital letter,
    /// with or without a number, or one that the form lists; anything else is a slip.
    fn sections(&mut self, index: usize, entry: &ChartEntry) -> BTreeMap<String, String> {
        let path = [Step::Key("chart"), Step::Entry(index)];
        let form: Vec<&str> = entry.form.iter().flat_map(|form| form.split_whitespace()).collect();
        let mut sections = BTreeMap::new();
        for (name, value) in &entry.sections {
            let mut letters = name.chars();
            let letter = letters.next().is_some_and(char::is_uppercase)
                && letters.all(|rest| rest.is_ascii_digit() || rest == '\'');
            if !letter && !form.contains(&name.as_str()) {
                let help = match nearest(name, KEYS) {
                    Some(right) => format!("did you mean `{right}`?"),
                    None => "a section is named by a capital letter, or by a word that form lists"
                        .to_owned(),
                };
                let span = self.places.key(&path, name);
                self.problems.push(Problem::new(format!("unknown key `{name}`"), span).help(help));
                continue;
            }
            match value.as_str() {
                Some(text) => {
                    sections.insert(name.clone(), text.to_owned());
                }
                None => {
                    let here = [path[0], path[1], Step::Key(name)];
                    let help = "write its bars in quotes, such as \"| Dm7 | G7 |\"";
                    self.say(format!("section {name} is no text"), &here, help);
                }
            }
        }
        sections
    }

    fn chart_errors(&mut self, index: usize, errors: &[ChartError]) {
        let chart = [Step::Key("chart"), Step::Entry(index)];
        for error in errors {
            let (span, label) = match &error.place {
                Place::Section { name, bar } => {
                    let path = [chart[0], chart[1], Step::Key(name)];
                    let label =
                        bar.map_or(String::new(), |bar| format!("section {name}, bar {bar}"));
                    (self.places.inside(&path, error.span.clone()), label)
                }
                Place::Form => {
                    let path = [chart[0], chart[1], Step::Key("form")];
                    (self.places.inside(&path, error.span.clone()), String::new())
                }
                Place::Chart => {
                    (self.places.value(&[chart[0], chart[1], Step::Key("name")]), String::new())
                }
            };
            let problem = Problem::new(error.problem.to_string(), span);
            self.problems.push(problem.label(label).help(error.help().unwrap_or_default()));
        }
    }

    /// A chart from a MusicXML lead sheet beside the lesson.
    fn lead_sheet(
        &mut self,
        entry: &ChartEntry,
        index: usize,
        path: &str,
        key: Option<Key>,
        feel: FeelName,
    ) -> Option<Chart> {
        let at = [Step::Key("chart"), Step::Entry(index), Step::Key("musicxml")];
        let bytes = match self.neighbours.read(path) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.say(
                    format!("{path} cannot be read: {error}"),
                    &at,
                    "the path counts from the lesson's folder",
                );
                return None;
            }
        };
        let sheet = match musicxml::read(&bytes) {
            Ok(sheet) => sheet,
            Err(error) => {
                let help =
                    "save it as MusicXML (.musicxml or .mxl), with chord symbols over the staff";
                self.say(format!("{path}: {error}"), &at, help);
                return None;
            }
        };
        match (LeadSheetSource { name: &entry.name, key, feel, sheet: &sheet }).import() {
            Ok(imported) => {
                let warnings = imported.warnings.iter();
                self.warnings.extend(warnings.map(|warning| format!("{path}: {warning}")));
                Some(imported.chart)
            }
            Err(errors) => {
                for error in errors {
                    self.say(format!("{path}, {error}"), &at, "");
                }
                None
            }
        }
    }
}

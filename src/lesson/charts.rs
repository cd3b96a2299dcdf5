//! The check of the charts.

use crate::chart::{
    Chart, ChartError, ChartSource, CodaIn, FeelName, FormSource, LeadSheetSource, Place,
    UnknownChords, Within,
};
use crate::codec::musicxml;
use crate::problem::{Problem, nearest, quoted};
use crate::schema::{Name, Placed, Words};
use crate::units::Meter;

use super::ChartId;
use super::checker::Checker;
use super::file::{ChartEntry, CodaWord, LessonFile, UnknownWord};

impl Checker<'_> {
    /// All charts, in the order of the file; `None` for one that cannot be read.
    pub(super) fn charts(&mut self, file: &LessonFile) -> Vec<Option<Chart>> {
        self.names_of_their_own("chart", file.chart.iter().map(|entry| &entry.keys.name));
        file.chart.iter().map(|entry| self.chart(entry)).collect()
    }

    fn chart(&mut self, entry: &Placed<ChartEntry>) -> Option<Chart> {
        let keys = &entry.keys;
        let mut sections = Vec::new();
        for (name, bars) in &entry.sections {
            match entry.check_section(name) {
                Ok(()) => sections.push((name.as_str(), bars.as_str())),
                Err((message, help)) => self.say(message, name.span(), help),
            }
        }
        sections.sort_unstable();
        let feel = keys.feel.map_or(FeelName::Swing, |feel| feel.0);
        if let Some(path) = &keys.musicxml {
            let section = entry.sections.first().map(|(name, _)| (name.as_str(), name.span()));
            let of_text = [
                section,
                keys.meter.as_ref().map(|meter| ("meter", meter.span())),
                keys.form.as_ref().map(|form| ("form", form.span())),
                keys.last.as_ref().map(|last| ("last", last.span())),
                keys.within.iter().flatten().next().map(|(_, within)| ("within", within.span())),
            ];
            for (name, span) in of_text.into_iter().flatten() {
                let message = format!("`{}` comes from the MusicXML file", quoted(name));
                self.say(message, span, "leave it out");
            }
            return self.lead_sheet(entry, path, feel);
        }
        let of_files = [
            ("coda", keys.coda.as_ref().map(Placed::span)),
            ("unknown-chords", keys.unknown_chords.as_ref().map(Placed::span)),
        ];
        for (name, span) in of_files {
            if let Some(span) = span {
                let message = format!("`{name}` belongs to charts from MusicXML");
                self.say(message, span, "leave it out");
            }
        }
        let Some(key) = &keys.key else {
            let help = "add a key, such as key = \"Gm\"";
            self.say_missing("the chart has no key", entry.span(), help);
            return None;
        };
        let within: Vec<(&str, Within<'_>)> = keys
            .within
            .iter()
            .flatten()
            .map(|(name, entry)| (name.as_str(), entry.within()))
            .collect();
        let source = ChartSource {
            name: &keys.name,
            key: **key,
            meter: keys.meter.as_ref().map_or(Meter::FourFour, |meter| ***meter),
            feel,
            form: FormSource {
                chorus: keys.form.as_ref().map(|form| form.as_str()),
                last: keys.last.as_ref().map(|last| last.as_str()),
                within: &within,
            },
            sections: &sections,
        };
        let name = &keys.name;
        let unplayed = source.unplayed_sections().into_iter().map(|section| {
            format!("the chart {}: no form names the section {section}", name.as_str())
        });
        self.warnings.extend(unplayed);
        source.parse().map_err(|errors| self.chart_errors(entry, &errors)).ok()
    }

    fn chart_errors(&mut self, entry: &ChartEntry, errors: &[ChartError]) {
        for error in errors {
            let whole = match &error.place {
                Place::Section { name, .. } => {
                    let section = entry.sections.iter().find(|(written, _)| **written == *name);
                    section.map(|(_, bars)| bars.span())
                }
                Place::Form => entry.keys.form.as_ref().map(Placed::span),
                Place::Last => entry.keys.last.as_ref().map(Placed::span),
                Place::Hits(name) => {
                    let within = entry.keys.within.as_ref().and_then(|within| within.get(name));
                    within.and_then(|within| within.hits.as_ref()).map(Placed::span)
                }
                Place::Within(name) => {
                    let within = entry.keys.within.as_ref();
                    within.and_then(|within| within.get(name)).map(Placed::span)
                }
                Place::Chart => None,
            };
            let label = match &error.place {
                Place::Section { name, bar: Some(bar) } => {
                    format!("section {}, bar {bar}", quoted(name))
                }
                _ => String::new(),
            };
            let span = match whole {
                Some(whole) if error.span.is_empty() => whole,
                Some(whole) => self.inside(whole, error.span.clone()),
                None => entry.keys.name.span(),
            };
            let problem = Problem::new(error.problem.to_string(), span);
            self.say_with_label(problem.label(label).help(error.help().unwrap_or_default()));
        }
    }

    /// A chart from a MusicXML lead sheet beside the lesson.
    fn lead_sheet(
        &mut self,
        entry: &ChartEntry,
        path: &Placed<Words>,
        feel: FeelName,
    ) -> Option<Chart> {
        let bytes = match self.neighbours.read(path) {
            Ok(bytes) => bytes,
            Err(error) => {
                let message = format!("{} cannot be read: {error}", path.as_str());
                self.say(message, path.span(), "the path counts from the lesson's folder");
                return None;
            }
        };
        let sheet = match musicxml::read(&bytes) {
            Ok(sheet) => sheet,
            Err(error) => {
                let help =
                    "save it as MusicXML (.musicxml or .mxl), with chord symbols over the staff";
                self.say(format!("{}: {error}", path.as_str()), path.span(), help);
                return None;
            }
        };
        let source = LeadSheetSource {
            name: &entry.keys.name,
            key: entry.keys.key.as_ref().map(|key| **key),
            feel,
            coda: match entry.keys.coda.as_deref() {
                None | Some(CodaWord::EveryChorus) => CodaIn::EveryChorus,
                Some(CodaWord::LastChorus) => CodaIn::LastChorus,
            },
            unknown_chords: match entry.keys.unknown_chords.as_deref() {
                None => UnknownChords::Refused,
                Some(UnknownWord::Silent) => UnknownChords::Silent,
            },
            sheet: &sheet,
        };
        match source.import() {
            Ok(imported) => {
                let warnings = imported.warnings.iter();
                let path = path.as_str();
                self.warnings.extend(warnings.map(|warning| format!("{path}: {warning}")));
                Some(imported.chart)
            }
            Err(errors) => {
                for error in errors {
                    let help = error.problem.help();
                    self.say(format!("{}, {error}", path.as_str()), path.span(), help);
                }
                None
            }
        }
    }

    /// The chart of a name.
    pub(super) fn chart_named(
        &mut self,
        file: &LessonFile,
        name: &Placed<Name>,
    ) -> Option<ChartId> {
        let found = file.chart.iter().position(|chart| *chart.keys.name == **name);
        if found.is_none() {
            let names: Vec<&str> =
                file.chart.iter().map(|chart| chart.keys.name.as_str()).collect();
            let help = match nearest(name, names.iter().copied()) {
                Some(right) => format!("did you mean `{right}`?"),
                None if names.is_empty() => "add a [[chart]]".to_owned(),
                None => format!("the charts are: {}", names.join(", ")),
            };
            self.say(format!("there is no chart named `{}`", quoted(name)), name.span(), help);
        }
        found.map(ChartId)
    }
}

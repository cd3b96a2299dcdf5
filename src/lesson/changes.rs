//! The check of where players change.

use std::collections::BTreeSet;

use crate::arrange::{Chorus, Passage, Shape};
use crate::chart::{Bar, Chart};
use crate::performance::Part;
use crate::problem::{nearest, quoted};
use crate::schema::{Name, Placed};
use crate::style::{Intensity, Shelf};

use super::checker::Checker;
use super::file::{ChangeEntry, TrackEntry};
use super::tracks::Known;
use super::{LineId, Track};

/// Who plays otherwise in some bars of a track. Later changes come over earlier ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// In which bars.
    pub scope: Scope,
    /// The line there.
    pub line: Option<LineId>,
    /// The comp style there.
    pub comp: Option<String>,
    /// The bass style there.
    pub bass: Option<String>,
    /// The drum style there.
    pub drums: Option<String>,
    /// How full the drums are there.
    pub intensity: Option<Intensity>,
    /// Who rests there.
    pub rest: Vec<Part>,
}

/// The bars of a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scope {
    /// From the first bar of a passage to the end.
    From(Passage),
    /// The bars of a passage.
    In(Passage),
}

impl Checker<'_> {
    /// The changes of a track over a chart, for which `players` play.
    pub(super) fn changes(
        &mut self,
        known: Known<'_>,
        entry: &TrackEntry,
        (shape, chart): (&Shape, &Chart),
        players: &[Part],
    ) -> Vec<Change> {
        let mut changes: Vec<Change> = Vec::new();
        for written in &entry.change {
            let Some(scope) = self.scope(written, entry, shape, chart) else { continue };
            let styles = [
                (Shelf::Comp, &written.comp),
                (Shelf::Bass, &written.bass),
                (Shelf::Drums, &written.drums),
            ];
            for (shelf, name) in styles {
                if let Some(name) = name {
                    self.style(shelf, name, name.span());
                }
            }
            let line = written.line.as_ref().and_then(|name| {
                self.lines_named(known, entry, name, name.span()).first().copied()
            });
            let resting = written.rest.as_deref().unwrap_or_default();
            for part in resting {
                self.plays(part, players);
                if written.names(**part) {
                    let message = format!("the {} plays and rests here", part.name());
                    self.say(message, part.span(), "leave one of the two out");
                }
            }
            let name = |name: &Option<Placed<Name>>| name.as_ref().map(|name| name.to_string());
            let change = Change {
                scope,
                line,
                comp: name(&written.comp),
                bass: name(&written.bass),
                drums: name(&written.drums),
                intensity: written.intensity,
                rest: resting.iter().map(|part| **part).collect(),
            };
            if change.says_nothing() {
                let help = "add a line, a style (comp, bass, drums), an intensity, or who rests";
                self.say("nothing changes here", written.span(), help);
            }
            if changes.iter().any(|earlier| earlier.contradicts(&change)) {
                let help = "leave one of the two out";
                self.say("this is changed there already", written.span(), help);
            }
            changes.push(change);
        }
        changes
    }

    fn scope(
        &mut self,
        written: &Placed<ChangeEntry>,
        entry: &TrackEntry,
        shape: &Shape,
        chart: &Chart,
    ) -> Option<Scope> {
        let (passage, scope): (_, fn(Passage) -> Scope) = match (&written.from, &written.within) {
            (Some(from), None) => (from, Scope::From),
            (None, Some(within)) => (within, Scope::In),
            _ => {
                let help =
                    "write from = \"chorus 2\" for what stays, in = \"B\" for what is only there";
                self.say("a change has either `from` or `in`", written.span(), help);
                return None;
            }
        };
        if let Some(section) = &passage.section {
            let names = sections(chart);
            if !names.contains(section.as_str()) {
                let help = match nearest(section, names.iter().copied()) {
                    Some(right) => format!("did you mean `{right}`?"),
                    None if names.is_empty() => "the chart has no sections".to_owned(),
                    None => {
                        let names: Vec<&str> = names.into_iter().collect();
                        format!("the chart has {}", names.join(", "))
                    }
                };
                let message = format!("no section `{}` is played", quoted(section));
                self.say(message, passage.span(), help);
                return None;
            }
        }
        let choruses = entry.choruses.map_or(1, |choruses| choruses.get().get());
        let goes_on = matches!(shape, Shape::Ladder { .. } | Shape::RoundTheKeys { .. });
        if let Some(Chorus::Number(number)) = passage.chorus
            && number.get() > choruses
            && !goes_on
        {
            let message = match choruses {
                1 => format!("there is no chorus {number}: the track has one"),
                _ => format!("there is no chorus {number}: the track has {choruses}"),
            };
            self.say(message, passage.span(), "raise `choruses`, or name an earlier one");
            return None;
        }
        Some(scope((***passage).clone()))
    }
}

impl Track {
    /// The right hand's lines, in the order in which they are named, each once.
    pub fn lines(&self) -> impl Iterator<Item = LineId> + use<> {
        let changes = self.changes.iter().filter_map(|change| change.line);
        let mut lines: Vec<LineId> = Vec::new();
        for line in self.line.into_iter().chain(changes) {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
        lines.into_iter()
    }

    /// The styles of comp, bass or drums, in the order in which they are named, each once.
    #[must_use]
    pub fn styles(&self, part: Part) -> Vec<&str> {
        let (first, of_change): (_, fn(&Change) -> &Option<String>) = match part {
            Part::Comp => (&self.comp, |change| &change.comp),
            Part::Bass => (&self.bass, |change| &change.bass),
            Part::Drums => (&self.drums, |change| &change.drums),
            Part::Line | Part::Click | Part::CountIn => return Vec::new(),
        };
        let all =
            first.iter().chain(self.changes.iter().filter_map(|change| of_change(change).as_ref()));
        let mut styles: Vec<&str> = Vec::new();
        for style in all {
            if !styles.contains(&style.as_str()) {
                styles.push(style);
            }
        }
        styles
    }
}

impl Change {
    const fn says_nothing(&self) -> bool {
        self.line.is_none()
            && self.comp.is_none()
            && self.bass.is_none()
            && self.drums.is_none()
            && self.intensity.is_none()
            && self.rest.is_empty()
    }

    /// Whether both say of the same bars what somebody does.
    fn contradicts(&self, other: &Change) -> bool {
        let says = |change: &Change, part: Part| {
            let style = match part {
                Part::Comp => change.comp.is_some(),
                Part::Bass => change.bass.is_some(),
                Part::Drums => change.drums.is_some(),
                Part::Line => change.line.is_some(),
                Part::Click | Part::CountIn => false,
            };
            style || change.rest.contains(&part)
        };
        let parts = [Part::Comp, Part::Bass, Part::Drums, Part::Line];
        self.scope == other.scope
            && (parts.iter().any(|part| says(self, *part) && says(other, *part))
                || (self.intensity.is_some() && other.intensity.is_some()))
    }
}

/// The names of all sections that are played.
fn sections(chart: &Chart) -> BTreeSet<&str> {
    let roadmap = &chart.roadmap;
    let besides = [&roadmap.intro, &roadmap.interlude, &roadmap.outro];
    let all = besides.into_iter().chain([&chart.bars]).chain(&roadmap.last).flatten();
    all.filter_map(|bar: &Bar| bar.section.as_deref()).collect()
}

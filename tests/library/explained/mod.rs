//! Lines in ABC with roles written by hand (`phrases.toml`), and what the program says of them.

use countoff::chart::{ChartSource, FeelName, FormSource};
use countoff::codec::abc;
use countoff::explain::{Explained, Sounding, explain};
use countoff::melody::{Form, Role, Side};
use countoff::theory::Key;
use countoff::units::{Meter, Meters};
use serde::Deserialize;

const PHRASES: &str = include_str!("phrases.toml");

#[derive(Deserialize)]
struct ByHand {
    phrase: Vec<Phrase>,
}

#[derive(Deserialize)]
struct Phrase {
    key: String,
    meter: Option<String>,
    chart: String,
    abc: Vec<String>,
    roles: Vec<String>,
}

impl Phrase {
    fn form(&self) -> Form {
        let source = ChartSource {
            name: "by hand",
            key: self.key.parse().unwrap(),
            meter: self.meter.as_deref().unwrap_or("4/4").parse().unwrap(),
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", &self.chart)],
        };
        Form::of(&source.parse().unwrap())
    }

    fn explained(&self, form: &Form) -> Vec<Explained> {
        let key: Key = self.key.parse().unwrap();
        let meter: Meter = form.meter;
        let defaults = abc::Defaults { meters: Meters::constant(meter), fifths: key.signature() };
        let tune = abc::read(&self.abc.join(" | "), defaults).unwrap();
        let notes = tune.notes.iter().map(|note| Sounding {
            at: note.at,
            length: note.length,
            pitch: note.pitch.midi().unwrap(),
        });
        explain(form, &notes.collect::<Vec<_>>(), &[])
    }
}

/// A role as it is written by hand.
fn written(role: Role) -> String {
    match role {
        Role::ChordTone { degree } => degree.to_string(),
        Role::Extension { degree } => format!("x{degree}"),
        Role::ScaleStep { .. } => "s".to_owned(),
        Role::Neighbour { side: Side::Below, of } => format!("l{of}"),
        Role::Neighbour { side: Side::Above, of } => format!("u{of}"),
        Role::Enclosure { of, .. } => format!("e{of}"),
        Role::Approach { of, .. } => format!("a{of}"),
        Role::Blue { degree } => format!("blue{}", degree.number),
        Role::TriadTone { triad, .. } => format!("t{triad}"),
        Role::Passing => "p".to_owned(),
        _ => "-".to_owned(),
    }
}

#[test]
fn lines_are_explained_as_by_hand() {
    let ByHand { phrase } = toml::from_str(PHRASES).unwrap();
    let mut wrong = Vec::new();
    let mut bars = 0;
    for phrase in &phrase {
        let form = phrase.form();
        bars += form.bars;
        let explained = phrase.explained(&form);
        let meant: Vec<&str> = phrase.roles.iter().flat_map(|bar| bar.split(' ')).collect();
        assert_eq!(explained.len(), meant.len(), "{}", phrase.chart);
        for (note, meant) in explained.iter().zip(meant) {
            let found: Vec<String> = note.roles.iter().copied().map(written).collect();
            let mut named = meant.split('+');
            let is_first = named.next() == found.first().map(String::as_str);
            if !is_first || !named.all(|also| found.iter().any(|role| role == also)) {
                let (bar, at) = (form.bar_number(note.note.at), note.note.at.quarters());
                let chart = &phrase.chart;
                wrong.push(format!(
                    "{chart} bar {bar}, {at}, {}: {meant}, not {found:?}",
                    note.name
                ));
            }
        }
    }
    assert!(bars >= 40, "{bars} bars");
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// A foreign note that a leap leaves is at least named by its degree.
#[test]
fn every_note_over_a_chord_has_a_role() {
    let phrase = Phrase {
        key: "C".to_owned(),
        meter: None,
        chart: "| Cmaj7 | Dm7 |".to_owned(),
        abc: vec!["C ^F C _A c _d' _B G".to_owned(), "_B ^f _e' =b, ^c g' _a D".to_owned()],
        roles: Vec::new(),
    };
    let explained = phrase.explained(&phrase.form());
    assert!(explained.iter().all(|note| !note.roles.is_empty()));
}

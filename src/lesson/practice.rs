//! The check of a practice shape.

use std::num::NonZeroU32;

use crate::arrange::{KeyOrder, Shape};
use crate::units::Bpm;

use super::checker::Checker;
use super::file::{PracticeEntry, SHAPES};
use super::places::Step;

impl Checker<'_> {
    /// The shape that an entry of track `index` means.
    pub(super) fn practice(&mut self, entry: &PracticeEntry, index: usize) -> Option<Shape> {
        let at =
            |key| [Step::Key("track"), Step::Entry(index), Step::Key("practice"), Step::Key(key)];
        let shape = self.word(&entry.shape, &SHAPES, &at("shape"))?;
        self.foreign_keys(entry, shape, index);
        let mut bars = |value: Option<i64>, key| {
            let bars = self.in_range(value.unwrap_or(4), 1..=64, &at(key));
            u32::try_from(bars).ok().and_then(NonZeroU32::new).unwrap_or(NonZeroU32::MIN)
        };
        Some(match SHAPES[shape] {
            "loop" => Shape::Loop,
            "answer" => Shape::Answer { phrase_bars: bars(entry.bars, "bars") },
            "resting click" => Shape::RestingClick {
                sounding: bars(entry.sounding, "sounding"),
                silent: bars(entry.silent, "silent"),
            },
            "ladder" => return self.ladder(entry, index),
            "round the keys" => {
                let words = ["fourths", "semitones", "whole steps"];
                let order = entry
                    .order
                    .as_deref()
                    .map_or(Some(0), |word| self.word(word, &words, &at("order")));
                Shape::RoundTheKeys {
                    order: match order? {
                        0 => KeyOrder::Fourths,
                        1 => KeyOrder::Semitones,
                        _ => KeyOrder::WholeSteps,
                    },
                    announce: entry.announce.unwrap_or(true),
                }
            }
            _ => Shape::Straight,
        })
    }

    fn ladder(&mut self, entry: &PracticeEntry, index: usize) -> Option<Shape> {
        let at =
            |key| [Step::Key("track"), Step::Entry(index), Step::Key("practice"), Step::Key(key)];
        let mut tempo = |value: Option<f64>, key| match value.map(Bpm::new) {
            Some(Ok(tempo)) => Some(tempo),
            Some(Err(error)) => {
                self.say(error.to_string(), &at(key), "use 20 to 400");
                None
            }
            None => {
                self.say(
                    format!("a ladder needs `{key}`"),
                    &at(key),
                    "such as from = 60, to = 120",
                );
                None
            }
        };
        let (from, to) = (tempo(entry.from, "from"), tempo(entry.to, "to"));
        let step = entry.step.unwrap_or(4.0);
        if !(0.5..=100.0).contains(&step) {
            self.say(format!("a step of {step} is out of range"), &at("step"), "use 0.5 to 100");
            return None;
        }
        Some(Shape::Ladder { from: from?, to: to?, step })
    }

    /// Keys that belong to another shape would do nothing: say so.
    fn foreign_keys(&mut self, entry: &PracticeEntry, shape: usize, index: usize) {
        let given = [
            ("bars", entry.bars.is_some(), "answer"),
            ("from", entry.from.is_some(), "ladder"),
            ("to", entry.to.is_some(), "ladder"),
            ("step", entry.step.is_some(), "ladder"),
            ("order", entry.order.is_some(), "round the keys"),
            ("announce", entry.announce.is_some(), "round the keys"),
            ("sounding", entry.sounding.is_some(), "resting click"),
            ("silent", entry.silent.is_some(), "resting click"),
        ];
        for (key, _, owner) in
            given.into_iter().filter(|(_, given, owner)| *given && *owner != SHAPES[shape])
        {
            let path =
                [Step::Key("track"), Step::Entry(index), Step::Key("practice"), Step::Key(key)];
            let help = format!("leave it out, or write shape = \"{owner}\"");
            self.say(format!("`{key}` belongs to another shape, \"{owner}\""), &path, help);
        }
    }
}

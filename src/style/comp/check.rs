//! What the parts of a comp style's file must be to each other.

use toml::Spanned;

use super::file::{CompFile, HitEntry, RangeEntry, ShapeList, ShapesEntry};
use super::{BarRhythm, ChordRhythm, Hit, PitchRange, Play, Shape, Shapes};
use crate::style::{StyleError, StyleFile};
use crate::units::{Meter, Ticks, Velocity};

/// A file and what it says.
pub(super) struct Check<'a> {
    pub(super) file: &'a StyleFile,
    pub(super) said: &'a CompFile,
}

impl Check<'_> {
    /// A range; it must hold an octave, so that every note has its place.
    pub(super) fn range(
        &self,
        said: &Spanned<RangeEntry>,
        name: &str,
    ) -> Result<PitchRange, StyleError> {
        let RangeEntry { lowest, highest, centre } = said.get_ref();
        let range = PitchRange { lowest: lowest.0, highest: highest.0 };
        if let Some(centre) = centre
            && name != "register"
        {
            let message = "only `[register]` has a centre";
            return Err(self.file.error(centre.span(), message, None));
        }
        if i16::from(range.highest) - i16::from(range.lowest) >= 11 {
            return Ok(range);
        }
        let message = format!("`{name}` is too narrow for every note to have a place in it");
        let help = "let `highest` lie at least a major seventh above `lowest`";
        Err(self.file.error(said.span(), message, Some(help.to_owned())))
    }

    /// Where the hands are at home: the middle of the register, where the file does not say.
    pub(super) fn centre(&self, register: PitchRange) -> Result<u8, StyleError> {
        let Some(centre) = &self.said.register.get_ref().centre else {
            return Ok(register.lowest.midpoint(register.highest));
        };
        let pitch = centre.get_ref().0;
        if register.contains(i16::from(pitch)) {
            return Ok(pitch);
        }
        let help = "let it lie between `lowest` and `highest` of `[register]`";
        let message = "the centre lies outside the register";
        Err(self.file.error(centre.span(), message, Some(help.to_owned())))
    }

    /// The shapes of a table.
    pub(super) fn shapes(&self, said: &ShapesEntry) -> Result<Shapes, StyleError> {
        let own = said.by_kind().into_iter().filter_map(|(kind, list)| Some((kind, list?)));
        let own = own.map(|(kind, list)| Ok((kind, self.some_shapes(list)?)));
        let by_kind = own.collect::<Result<_, StyleError>>()?;
        Ok(Shapes { any: self.some_shapes(&said.any)?, by_kind })
    }

    fn some_shapes(&self, said: &ShapeList) -> Result<Vec<Shape>, StyleError> {
        if said.get_ref().is_empty() {
            let help = "write at least one, such as \"1 3 7\"";
            return Err(self.file.error(
                said.span(),
                "the list has no shape",
                Some(help.to_owned()),
            ));
        }
        Ok(said.get_ref().iter().map(|shape| shape.get_ref().clone()).collect())
    }

    /// The rhythms for a bar.
    pub(super) fn bars(&self) -> Result<Vec<BarRhythm>, StyleError> {
        if self.said.bars.get_ref().is_empty() {
            let message = "a comp style needs at least one bar of rhythm";
            let help = "write `[[bar]]` and its `hits` below it";
            return Err(self.file.error(self.said.bars.span(), message, Some(help.to_owned())));
        }
        let mut bars = Vec::new();
        for bar in self.said.bars.get_ref() {
            let meter = bar.meter.0;
            let next = bar.next.as_ref().map(|next| self.hits(next, meter, meter.counts()));
            bars.push(BarRhythm {
                meter,
                weight: bar.weight.get(),
                hits: self.some_hits(&bar.hits, meter, meter.counts())?,
                next: next.transpose()?,
            });
        }
        Ok(bars)
    }

    /// The rhythms for one chord of several.
    pub(super) fn chords(&self) -> Result<Vec<ChordRhythm>, StyleError> {
        let rhythm = |chord: &super::file::ChordEntry| {
            let counts = chord.counts.get();
            let hits = self.some_hits(&chord.hits, Meter::FiveFour, counts)?;
            Ok(ChordRhythm { counts, weight: chord.weight.get(), hits })
        };
        self.said.chords.iter().map(rhythm).collect()
    }

    /// How the last chord is played: as the file says, or the first hit of the first bar, held.
    pub(super) fn ending(&self, bars: &[BarRhythm]) -> Result<Vec<Hit>, StyleError> {
        if let Some(ending) = &self.said.ending {
            return self.some_hits(&ending.hits, Meter::FourFour, Meter::FourFour.counts());
        }
        let first = bars.iter().find_map(|bar| bar.hits.first());
        let held = |hit: &Hit| Hit { at: Ticks::ZERO, early: false, length: None, ..hit.clone() };
        Ok(first.map(held).into_iter().collect())
    }

    fn some_hits(
        &self,
        said: &Spanned<Vec<HitEntry>>,
        meter: Meter,
        counts: u8,
    ) -> Result<Vec<Hit>, StyleError> {
        if said.get_ref().is_empty() {
            let help = "write at least one, such as { at = \"1\" }";
            return Err(self.file.error(
                said.span(),
                "the rhythm has no hit",
                Some(help.to_owned()),
            ));
        }
        self.hits(said.get_ref(), meter, counts)
    }

    fn hits(&self, said: &[HitEntry], meter: Meter, counts: u8) -> Result<Vec<Hit>, StyleError> {
        let mut hits = Vec::new();
        for entry in said {
            let play = self.play(entry)?;
            let velocity = entry.velocity.unwrap_or(self.said.velocity).get();
            for (count, early) in &entry.at.get_ref().0 {
                let inside = meter.count() * i64::from(counts);
                let Some(at) = count.at(meter).filter(|at| *at < inside) else {
                    let message = format!("there is no count `{count}` here");
                    let help = format!("count from 1 to {counts}");
                    return Err(self.file.error(entry.at.span(), message, Some(help)));
                };
                hits.push(Hit {
                    at,
                    early: *early,
                    length: entry.length.map(|length| length.ticks(meter)),
                    velocity: Velocity::clamped(velocity.into()),
                    probability: entry.probability.map_or(1.0, |probability| probability.get()),
                    ghost: entry.ghost,
                    play: play.clone(),
                });
            }
        }
        hits.sort_by_key(|hit| hit.at);
        Ok(hits)
    }

    /// What a hit plays: every shape must have some of it, and have it in one group.
    fn play(&self, entry: &HitEntry) -> Result<Play, StyleError> {
        let tables = std::iter::once(&self.said.shapes).chain(&self.said.smaller_hand);
        let lists = tables.flat_map(|table| {
            let own = table.by_kind().into_iter().filter_map(|(_, list)| list);
            std::iter::once(&table.any).chain(own)
        });
        for shape in lists.flat_map(|list| list.get_ref()) {
            let Some(play) = &entry.play else {
                if shape.get_ref().last_group() > 0 {
                    let message = "the notes of the shapes are struck apart, and this hit does not say which it plays";
                    let help = "add `play` with degrees, such as play = \"1\"";
                    return Err(self.file.error(entry.at.span(), message, Some(help.to_owned())));
                }
                continue;
            };
            let degrees = play.get_ref().0.iter();
            let groups: Vec<u8> =
                degrees.filter_map(|degree| shape.get_ref().group_of(*degree)).collect();
            if groups.is_empty() {
                let message = "not every shape has a degree that this hit plays";
                let help = self.shape_text(shape).map(|text| format!("{text} has none"));
                return Err(self.file.error(play.span(), message, help));
            }
            if groups.windows(2).any(|pair| pair[0] != pair[1]) {
                let message = "this hit plays notes together that the shapes part with a `,`";
                return Err(self.file.error(play.span(), message, self.shape_text(shape)));
            }
        }
        Ok(entry.play.as_ref().map_or(Play::All, |play| Play::Degrees(play.get_ref().0.clone())))
    }

    fn shape_text(&self, shape: &Spanned<Shape>) -> Option<String> {
        self.file.text.get(shape.span()).map(|text| format!("the shape {text}"))
    }
}

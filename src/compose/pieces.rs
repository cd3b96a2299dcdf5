//! Divides a form by technique.

use crate::melody::{Assignment, Fallback, FallbackReason, Form, Material, Piece, Span, Technique};

use super::grid::Position;
use super::join::{Slot, slots};
use super::material::material;
use super::streams::Choice;
use super::{Request, Share};

/// What the line is to show where, as far as it can.
pub(super) struct Plan {
    pub(super) pieces: Vec<Piece>,
    pub(super) fallbacks: Vec<Fallback>,
    /// For each piece, whether its chord is too short for anything but its own tones.
    pub(super) short: Vec<bool>,
}

/// Gives every chord, or bar of a chord, a technique and its material.
pub(super) fn plan(form: &Form, request: &Request) -> Plan {
    let mut plan = Plan { pieces: Vec::new(), fallbacks: Vec::new(), short: Vec::new() };
    for span in cut(form, request) {
        let bar = form.bar_number(span.at);
        let shares = shares_at(request, bar);
        let mut stream = Choice::Technique { at: span.at }.stream(request.seed);
        let weights: Vec<f64> = shares.iter().map(|share| share.weight).collect();
        let chosen = stream.weighted(&weights).and_then(|index| shares.get(index));
        plan.add(form, request, span, chosen.map(|share| share.technique));
    }
    plan
}

impl Plan {
    fn add(&mut self, form: &Form, request: &Request, span: Span, wanted: Option<Technique>) {
        let silence =
            Assignment { technique: Technique::ChordOutlines, material: Material::Silence };
        let (Some(technique), Some(harmony)) = (wanted, span.harmony.as_deref()) else {
            self.short.push(false);
            self.pieces.push(Piece { span, assignment: silence });
            return;
        };
        let short = span.length < form.shortest_technique();
        let technique_here = if short { Technique::ChordOutlines } else { technique };
        self.short.push(short);
        match material(technique_here, harmony, form.key, request.seed, span.at) {
            Ok(material) => {
                let assignment = Assignment { technique: technique_here, material };
                self.pieces.push(Piece { span, assignment });
            }
            Err(reason) => {
                self.pieces.push(Piece { span, assignment: silence });
                let index = self.pieces.len() - 1;
                self.pieces[index].assignment.technique = technique;
                self.fall_back(form, index, reason);
            }
        }
    }

    /// Puts the chord's outline in place of a technique.
    fn fall_back(&mut self, form: &Form, index: usize, reason: FallbackReason) {
        let piece = &mut self.pieces[index];
        let Some(harmony) = piece.span.harmony.as_deref() else { return };
        let outline = Technique::ChordOutlines;
        self.fallbacks.push(Fallback {
            bar: form.bar_number(piece.span.at),
            chord: harmony.symbol.to_string(),
            technique: piece.assignment.technique,
            reason,
        });
        // An outline needs nothing but the chord, so no seed goes into it.
        if let Ok(material) = material(outline, harmony, form.key, 0, piece.span.at) {
            piece.assignment = Assignment { technique: outline, material };
        }
        self.fallbacks.sort_by_key(|fallback| fallback.bar);
    }

    /// Falls back at a piece or, where that is an outline already, at the nearest one before or
    /// after it that is not; where all are, all become plain tones.
    pub(super) fn fall_back_near(&mut self, form: &Form, piece: usize, reason: FallbackReason) {
        let showing = |index: &usize| {
            let piece = &self.pieces[*index];
            piece.assignment.technique != Technique::ChordOutlines
                && piece.assignment.material != Material::Silence
        };
        let before = (0..=piece.min(self.pieces.len() - 1)).rev().find(showing);
        let found = before.or_else(|| (piece..self.pieces.len()).find(showing));
        match found {
            Some(index) => self.fall_back(form, index, reason),
            None => self.short.fill(true),
        }
    }

    /// A shape is one only where it comes again: falls back where the rhythm has not room for two.
    pub(super) fn fall_back_where_groups_do_not_fit(&mut self, form: &Form, grid: &[Position]) {
        let shaped =
            |index: usize| self.pieces[index].assignment.technique == Technique::ShiftedShapes;
        let slots = slots(grid, |piece| self.pieces[piece].assignment.technique);
        let groups = grid
            .iter()
            .zip(slots)
            .filter(|(position, slot)| shaped(position.piece) && matches!(slot, Slot::Group(_)));
        if groups.count() < 2 {
            let all = (0..self.pieces.len()).filter(|&index| shaped(index)).collect::<Vec<_>>();
            for index in all {
                self.fall_back(form, index, FallbackReason::DoesNotFit);
            }
        }
    }
}

/// The form's spans, divided at bar lines where what may be shown changes, and at every bar line
/// where several techniques share the line.
fn cut(form: &Form, request: &Request) -> Vec<Span> {
    let bar = form.meter.bar();
    let mixed = request.techniques.len() > 1;
    let mut cut = Vec::new();
    for span in &form.spans {
        let mut at = span.at;
        while at < span.end() {
            let mut end = bar * form.bar_number(at);
            let here = shares_at(request, form.bar_number(at));
            while !mixed && end < span.end() && shares_at(request, form.bar_number(end)) == here {
                end += bar;
            }
            let end = end.min(span.end());
            cut.push(Span { at, length: end - at, harmony: span.harmony.clone() });
            at = end;
        }
    }
    cut
}

/// The techniques that a bar may show.
fn shares_at(request: &Request, bar: i64) -> Vec<&Share> {
    let allows = |share: &&Share| {
        share.bars.is_empty()
            || share.bars.iter().any(|bars| u32::try_from(bar).is_ok_and(|bar| bars.contains(&bar)))
    };
    request.techniques.iter().filter(allows).collect()
}

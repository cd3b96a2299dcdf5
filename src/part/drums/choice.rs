//! Which rhythm a bar gets.

use crate::arrange::{BarKind, TimelineBar};
use crate::part::{Joint, PlayContext};
use crate::random::Stream;
use crate::style::{DrumBar, DrumBarUse, DrumHit, DrumJoint, DrumStyle, Intensity};
use crate::units::Ticks;

/// Chooses rhythms for a style at an intensity.
pub(super) struct BarChoice<'a> {
    context: PlayContext<'a>,
    style: &'a DrumStyle,
    intensity: Intensity,
}

impl<'a> BarChoice<'a> {
    pub(super) const fn new(
        context: PlayContext<'a>,
        style: &'a DrumStyle,
        intensity: Intensity,
    ) -> BarChoice<'a> {
        BarChoice { context, style, intensity }
    }

    /// The strokes of a bar: a rhythm drawn by weight, and what is added to it. In an ending for
    /// which the style has none, the first beat of a bar that keeps time. `None` only if the style has
    /// no bar that keeps time.
    pub(super) fn strokes(
        &self,
        index: usize,
        bar: &TimelineBar,
        random: &mut Stream,
    ) -> Option<Vec<DrumHit>> {
        let fill = self.fill(index);
        let (purpose, joint) = match (bar.kind, fill) {
            (BarKind::Ending, _) => (DrumBarUse::Ending, None),
            (_, Some(joint)) => (DrumBarUse::Fill, Some(joint)),
            _ => (DrumBarUse::Time, None),
        };
        let candidates = [
            self.eligible(bar, purpose, joint),
            self.eligible(bar, DrumBarUse::Time, None),
            self.style.bars_in(bar.meter, DrumBarUse::Time),
        ];
        let rhythms = candidates.into_iter().find(|rhythms| !rhythms.is_empty())?;
        let rhythm = drawn(rhythms, random)?;
        let mut strokes = rhythm.hits;
        if purpose == DrumBarUse::Ending {
            if rhythm.purpose != purpose {
                strokes.retain(|hit| hit.at == Ticks::ZERO);
            }
            return Some(strokes);
        }
        if rhythm.purpose == DrumBarUse::Time {
            let comping = drawn(self.eligible(bar, DrumBarUse::Comping, None), random);
            strokes.extend(comping.into_iter().flat_map(|bar| bar.hits));
        }
        if let Some(joint) = index.checked_sub(1).and_then(|before| self.fill(before)) {
            let landing = drawn(self.eligible(bar, DrumBarUse::Landing, Some(joint)), random);
            strokes.extend(landing.into_iter().flat_map(|bar| bar.hits));
        }
        Some(strokes)
    }

    /// The turn of the form that a fill in a bar leads to, if there is one: those that the players
    /// have agreed on, and every so many bars.
    fn fill(&self, index: usize) -> Option<DrumJoint> {
        let bar = self.context.timeline.bars.get(index)?;
        let every = u32::from(self.style.fill_every);
        let joint = match self.context.plan.bar(index).leads_to {
            Some(Joint::Hits) => Some(DrumJoint::Section),
            // Alone the drummer need not keep time.
            _ if bar.drums_alone => Some(DrumJoint::Chorus),
            _ if every == 0 => None,
            Some(Joint::Section) => Some(DrumJoint::Section),
            Some(Joint::Chorus) => Some(DrumJoint::Chorus),
            None => (bar.form_bar + 1).is_multiple_of(every).then_some(DrumJoint::Section),
        };
        joint.filter(|_| bar.kind.is_played() && bar.kind != BarKind::Ending)
    }

    fn eligible(
        &self,
        bar: &TimelineBar,
        purpose: DrumBarUse,
        joint: Option<DrumJoint>,
    ) -> Vec<DrumBar> {
        let turn = bar.form_bar % u32::from(self.style.cycle.max(1)) + 1;
        let mut rhythms = self.style.bars_in(bar.meter, purpose);
        rhythms.retain(|rhythm| {
            let in_turn = rhythm.turn.is_none_or(|at| u32::from(at) == turn);
            let in_place = rhythm.joint.is_none() || rhythm.joint == joint;
            in_turn && in_place && (rhythm.from..=rhythm.up_to).contains(&self.intensity)
        });
        rhythms
    }
}

/// One of several rhythms, by weight.
fn drawn(rhythms: Vec<DrumBar>, random: &mut Stream) -> Option<DrumBar> {
    let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
    random.weighted(&weights).and_then(|chosen| rhythms.into_iter().nth(chosen))
}

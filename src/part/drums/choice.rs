//! Which rhythm a bar gets.

use crate::arrange::{BarKind, TimelineBar};
use crate::random::Stream;
use crate::style::{DrumBar, DrumBarUse, DrumStyle, Intensity};
use crate::units::Ticks;

/// Forms of fewer bars do not end in a fill every time.
const SHORTEST_FORM: u32 = 4;

/// Chooses rhythms for a style at an intensity.
pub(super) struct BarChoice<'a> {
    style: &'a DrumStyle,
    intensity: Intensity,
}

impl<'a> BarChoice<'a> {
    pub(super) const fn new(style: &'a DrumStyle, intensity: Intensity) -> BarChoice<'a> {
        BarChoice { style, intensity }
    }

    /// The rhythm of a bar, drawn by weight; in an ending for which the style has none, the first
    /// beat of a bar that keeps time. `None` only if the style has no bar that keeps time.
    pub(super) fn rhythm(
        &self,
        bar: &TimelineBar,
        next: Option<&TimelineBar>,
        random: &mut Stream,
    ) -> Option<DrumBar> {
        let purpose = match bar.kind {
            BarKind::Ending => DrumBarUse::Ending,
            _ if self.fill_is_due(bar, next) => DrumBarUse::Fill,
            _ => DrumBarUse::Time,
        };
        let candidates = [
            self.eligible(bar, purpose),
            self.eligible(bar, DrumBarUse::Time),
            self.style.bars_in(bar.meter, DrumBarUse::Time),
        ];
        let rhythms = candidates.into_iter().find(|rhythms| !rhythms.is_empty())?;
        let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
        let chosen = random.weighted(&weights)?;
        let mut rhythm = rhythms.into_iter().nth(chosen)?;
        if purpose == DrumBarUse::Ending && rhythm.purpose != purpose {
            rhythm.hits.retain(|hit| hit.at == Ticks::ZERO);
        }
        Some(rhythm)
    }

    /// A fill ends every so many bars of the form, and the form itself if it is not too short.
    fn fill_is_due(&self, bar: &TimelineBar, next: Option<&TimelineBar>) -> bool {
        // It sets up what the band plays together; alone the drummer need not keep time.
        let sets_up = next.is_some_and(|next| next.hits.is_some()) && bar.hits.is_none();
        if sets_up || bar.drums_alone {
            return true;
        }
        let every = u32::from(self.style.fill_every);
        let bars = bar.form_bar + 1;
        let form_ends = next.is_none_or(|next| {
            (next.chorus, next.kind.passage()) != (bar.chorus, bar.kind.passage())
        });
        every > 0 && (bars.is_multiple_of(every) || (form_ends && bars >= SHORTEST_FORM))
    }

    fn eligible(&self, bar: &TimelineBar, purpose: DrumBarUse) -> Vec<DrumBar> {
        let turn = bar.form_bar % u32::from(self.style.cycle.max(1)) + 1;
        let mut rhythms = self.style.bars_in(bar.meter, purpose);
        rhythms.retain(|rhythm| {
            let in_turn = rhythm.turn.is_none_or(|at| u32::from(at) == turn);
            in_turn && (rhythm.from..=rhythm.up_to).contains(&self.intensity)
        });
        rhythms
    }
}

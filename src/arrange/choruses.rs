//! Which choruses a practice shape asks for.

use super::{ArrangeError, Arrangement, Ending, Shape};
use crate::chart::{Bar, Chart, Roadmap};
use crate::theory::Key;
use crate::units::Bpm;

/// One time through the form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chorus {
    pub(super) key: Key,
    pub(super) tempo: Bpm,
    /// Whether a bar with the key's dominant stands before it.
    pub(super) announced: bool,
}

/// All choruses, in order; at least one.
pub(super) fn choruses(
    chart: &Chart,
    arrangement: &Arrangement,
) -> Result<Vec<Chorus>, ArrangeError> {
    let home = Chorus { key: chart.key, tempo: arrangement.tempo, announced: false };
    let each: Vec<Chorus> = match &arrangement.shape {
        Shape::Ladder { from, to, step } => {
            let tempos = ladder(*from, *to, *step)?;
            tempos.into_iter().map(|tempo| Chorus { tempo, ..home }).collect()
        }
        Shape::RoundTheKeys { order, announce } => {
            let in_key = |(index, key)| Chorus { key, announced: *announce && index > 0, ..home };
            order.keys(chart.key).into_iter().enumerate().map(in_key).collect()
        }
        Shape::Straight
        | Shape::Loop
        | Shape::Answer { .. }
        | Shape::Trade { .. }
        | Shape::RestingClick { .. } => vec![home],
    };
    if each.is_empty() {
        return Err(ArrangeError::NoKeys);
    }
    check_length(chart, arrangement, &each)?;
    let repeats = (0..arrangement.choruses.get()).map(|time| time == 0);
    let times = |chorus: Chorus| {
        repeats.clone().map(move |first| Chorus { announced: chorus.announced && first, ..chorus })
    };
    Ok(each.into_iter().flat_map(times).collect())
}

/// The tempos of a ladder, the last being `to`.
fn ladder(from: Bpm, to: Bpm, step: f64) -> Result<Vec<Bpm>, ArrangeError> {
    if !step.is_finite() || step <= 0.0 {
        return Err(ArrangeError::Step(step));
    }
    let distance = (to.get() - from.get()).abs();
    let whole_steps = (distance / step).ceil();
    // Every tempo is at least a bar, so more steps than bars allowed are too many.
    if whole_steps > 20_000.0 {
        return Err(ArrangeError::TooLong { bars: u64::from(u32::MAX) });
    }
    let signed_step = if to < from { -step } else { step };
    let mut tempos = Vec::new();
    let mut taken = 0.0;
    while taken < whole_steps {
        let tempo = Bpm::new(from.get() + taken * signed_step);
        tempos.push(tempo.map_err(|_| ArrangeError::Step(step))?);
        taken += 1.0;
    }
    tempos.push(to);
    Ok(tempos)
}

/// Counts bars before any is made.
fn check_length(
    chart: &Chart,
    arrangement: &Arrangement,
    each: &[Chorus],
) -> Result<(), ArrangeError> {
    let length = |bars: &[Bar]| u64::try_from(bars.len()).unwrap_or(u64::MAX);
    let Roadmap { intro, interlude, last, outro } = &chart.roadmap;
    let form = length(&chart.bars).max(last.as_deref().map_or(0, length));
    // An intro or a tag that is not written has at most eight bars.
    let besides = length(intro).max(8) + length(outro) + 8;
    let times = u64::try_from(each.len()).unwrap_or(u64::MAX);
    let heard = if matches!(arrangement.shape, Shape::Answer { .. }) { 2 } else { 1 };
    let count_in = u64::from(arrangement.count_in.bars(chart.meter, arrangement.tempo));
    let pickup = arrangement.pickup.0.max(0).unsigned_abs() / chart.meter.bar().0.unsigned_abs();
    let bars = form
        .saturating_mul(heard)
        .saturating_add(length(interlude))
        .saturating_mul(u64::from(arrangement.choruses.get()))
        .saturating_add(1)
        .saturating_mul(times)
        .saturating_add(count_in.max(pickup + 1))
        .saturating_add(besides)
        .saturating_add(u64::from(arrangement.ending != Ending::None));
    if bars > ArrangeError::MOST_BARS { Err(ArrangeError::TooLong { bars }) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rungs(from: f64, to: f64, step: f64) -> Vec<f64> {
        let tempos = ladder(Bpm::new(from).unwrap(), Bpm::new(to).unwrap(), step).unwrap();
        tempos.into_iter().map(Bpm::get).collect()
    }

    #[test]
    fn a_ladder_ends_on_its_last_tempo() {
        assert_eq!(rungs(60.0, 75.0, 5.0), [60.0, 65.0, 70.0, 75.0]);
        assert_eq!(rungs(60.0, 72.0, 5.0), [60.0, 65.0, 70.0, 72.0]);
        assert_eq!(rungs(80.0, 72.0, 4.0), [80.0, 76.0, 72.0]);
        assert_eq!(rungs(80.0, 80.0, 4.0), [80.0]);
    }

    #[test]
    fn a_ladder_that_does_not_climb_is_an_error() {
        let tempo = Bpm::new(60.0).unwrap();
        for step in [0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert!(ladder(tempo, tempo, step).is_err(), "{step}");
        }
        assert!(ladder(tempo, Bpm::new(400.0).unwrap(), 1e-9).is_err());
    }
}

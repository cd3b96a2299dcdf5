//! How many bars are counted before the first chorus.

use super::CountIn;
use crate::units::{Bpm, Meter};

/// A bar that takes longer than this is counted once, a shorter one twice, in seconds: a bar of
/// 4/4 at 80 beats per minute. (Two bars from about 80 beats per minute, one below: our choice
/// from what the trade teaches. By the length of a bar the rule holds for every meter.)
const LONG_BAR_SECONDS: f64 = 3.0;

impl CountIn {
    /// How many bars are counted at a tempo.
    #[must_use]
    pub fn bars(self, meter: Meter, tempo: Bpm) -> u32 {
        match self {
            CountIn::ByTempo => {
                let bar_seconds = f64::from(meter.beats()) * 60.0 / tempo.get();
                if bar_seconds > LONG_BAR_SECONDS { 1 } else { 2 }
            }
            CountIn::Bars(bars) => u32::from(bars),
            CountIn::None => 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_bars_from_eighty_in_common_time_and_as_long_in_other_meters() {
        for (meter, tempo, bars) in [
            (Meter::FourFour, 60.0, 1),
            (Meter::FourFour, 79.0, 1),
            (Meter::FourFour, 80.0, 2),
            (Meter::ThreeFour, 55.0, 1),
            (Meter::ThreeFour, 120.0, 2),
            (Meter::FiveFour, 90.0, 1),
            (Meter::FiveFour, 160.0, 2),
            (Meter::SixEight, 60.0, 2),
            (Meter::TwoTwo, 100.0, 2),
        ] {
            let tempo = Bpm::new(tempo).unwrap();
            assert_eq!(CountIn::ByTempo.bars(meter, tempo), bars, "{meter} at {tempo}");
        }
    }
}

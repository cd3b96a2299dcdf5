//! Notes die away as strings do.

use super::listen::{PIANO, note};
use super::measure::slope;
use super::none;

/// Time to -60 dB, extrapolated from the level between 0.1 and 0.6 s. Ranges
/// after Martin 1947 and Fletcher & Rossing, chapter 12.
#[test]
fn decay_times_are_a_grands() {
    let mut found = Vec::new();
    for (key, shortest, longest) in [(36, 4.0, 8.0), (60, 3.0, 7.0), (84, 1.2, 4.0)] {
        let time = -60.0 / slope(&note(PIANO, key, 80, 0.7), 0.1, 0.6);
        if !(shortest..=longest).contains(&time) {
            found.push(format!("key {key}: {time:.2} s to -60 dB"));
        }
    }
    none(&found);
}

/// Weinreich 1977: prompt sound, then aftersound.
#[test]
fn decay_has_two_stages() {
    let mut found = Vec::new();
    for key in (40..=76).step_by(2) {
        let sound = note(PIANO, key, 80, 2.6);
        let (early, late) = (slope(&sound, 0.1, 0.6), slope(&sound, 1.2, 2.5));
        if early > late {
            found.push(format!("key {key}: {early:.1} dB/s early, {late:.1} dB/s late"));
        }
    }
    none(&found);
}

/// A held chord goes on dying away: no shelf and no swell in the range that
/// comping uses.
#[test]
fn tails_go_on_decaying() {
    let mut found = Vec::new();
    for key in (40..=76).step_by(4) {
        let sound = note(PIANO, key, 80, 6.1);
        for from in [2.0, 3.0, 4.0] {
            let rate = slope(&sound, from, from + 2.0);
            if !(-30.0..=-1.5).contains(&rate) {
                found.push(format!("key {key} from {from} s: {rate:.1} dB/s"));
            }
        }
    }
    none(&found);
}

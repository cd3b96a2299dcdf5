//! A coil on a magnet before the tine's end. The field through the coil is
//! strongest when the end is straight before it and falls to both sides; what
//! comes out is its change. A tine that rests a little to one side gives a
//! voltage that is round when it swings little and pointed when it swings far:
//! the bark of a hard blow.

use super::tine::Motion;

/// Rest of the tine's end beside the magnet's axis, in millimetres: the
/// technician's timbre screw. By ear.
const ASIDE: f64 = 0.32;
/// Half-width of the field in millimetres. From memory.
const HALF_WIDTH: f64 = 0.75;

/// Voltage of the pickup, in arbitrary units, for a field of the form
/// 1 / (1 + (x / w)²).
#[must_use]
pub fn voltage(motion: Motion) -> f64 {
    let x = (motion.place + ASIDE) / HALF_WIDTH;
    let slope = -2.0 * x / ((1.0 + x * x) * (1.0 + x * x) * HALF_WIDTH);
    slope * motion.speed
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Straight before the magnet the field does not change.
    #[test]
    fn no_voltage_on_the_axis() {
        let before = Motion { place: -ASIDE, speed: 100.0 };
        assert!(voltage(before).abs() < 1e-9);
    }
}

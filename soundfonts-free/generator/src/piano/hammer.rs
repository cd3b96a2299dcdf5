//! The blow: a felt hammer against a stiff string, step by step.
//!
//! Felt pushes back with a power of its compression and a share of the speed
//! of compression (Hunt & Crossley 1975; Chaigne & Askenfelt 1994; Stulov 1995
//! for why felt does so); the string is the sum of its partials at the strike
//! point.

use super::design::{Key, hammer_speed};
use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{self, PI, TURN, exp, pow, sin};
use crate::dsp::window::kaiser;

/// Steps per sample: felt is stiff, and explicit steps must be small.
const OVERSAMPLING: usize = 8;
/// Loss in the felt, in seconds per metre. Fitted.
const FELT_LOSS: f64 = 0.571;
/// Highest partial that the contact sees, in hertz.
const HIGHEST_PARTIAL: f64 = 18_000.0;
/// Most partials that the contact sees.
const MOST_PARTIALS: usize = 259;
/// Longest time that is followed, in seconds.
const LONGEST_CONTACT: f64 = 0.03;
/// Time without touch, in seconds, after which the hammer is gone.
const GONE_AFTER: f64 = 0.001;
/// Time before which it cannot be gone, in seconds: the bass hammer bounces.
const NOT_GONE_BEFORE: f64 = 0.003;

/// Force of one hammer blow on one string, in newtons, one value per sample at
/// [`RATE`].
#[must_use]
pub fn blow(key: &Key, velocity: f64) -> Vec<f64> {
    decimate(&contact(key, hammer_speed(velocity)))
}

/// One partial of the string during the contact.
struct Partial {
    /// Its displacement at the strike point over its state's imaginary part.
    shape: f64,
    angular_frequency: f64,
    turn: Complex,
    state: Complex,
}

/// Force in newtons at [`OVERSAMPLING`] times the rate.
fn contact(key: &Key, speed: f64) -> Vec<f64> {
    let step = 1.0 / (RATE * OVERSAMPLING as f64);
    let mut partials: Vec<Partial> = (1..=MOST_PARTIALS)
        .map(|n| (n as f64, TURN * key.partial(n as f64)))
        .take_while(|&(_, w)| w < TURN * HIGHEST_PARTIAL)
        .map(|(n, w)| {
            // Loss on the time scale of the contact: 2 nepers per second and
            // 4e-9 s times the square of frequency (from memory).
            let decay = 2.0 + 4e-9 * w * w;
            Partial {
                shape: sin(n * PI * key.strike_point),
                angular_frequency: w,
                turn: Complex::polar(exp(-decay * step), w * step),
                state: Complex::ZERO,
            }
        })
        .collect();
    let longest = maths::samples(LONGEST_CONTACT, RATE * OVERSAMPLING as f64);
    let gone_after = maths::samples(GONE_AFTER, RATE * OVERSAMPLING as f64);
    let not_before = maths::samples(NOT_GONE_BEFORE, RATE * OVERSAMPLING as f64);
    let (mut hammer, mut hammer_speed, mut string) = (0.0, speed, 0.0);
    let (mut before, mut last_touch) = (0.0, 0);
    let mut forces = Vec::with_capacity(longest);
    for now in 0..longest {
        let compression = hammer - string;
        let mut force = 0.0;
        if compression > 0.0 {
            let spring = key.felt_stiffness * pow(compression, key.felt_exponent);
            force = (spring * (1.0 + FELT_LOSS * (compression - before) / step)).max(0.0);
            last_touch = now;
        }
        before = compression;
        forces.push(force);
        hammer_speed -= force / key.hammer_mass * step;
        hammer += hammer_speed * step;
        let push = 2.0 * force / key.string_mass * step;
        string = 0.0;
        for partial in &mut partials {
            partial.state.re += push * partial.shape;
            partial.state = partial.state * partial.turn;
            string += partial.state.im * partial.shape / partial.angular_frequency;
        }
        if now > not_before && now - last_touch > gone_after && hammer_speed < 0.0 {
            break;
        }
    }
    forces
}

/// Down to [`RATE`], through a windowed-sinc low pass at 0.9 of half that rate.
fn decimate(forces: &[f64]) -> Vec<f64> {
    let reach = 16 * OVERSAMPLING;
    let taps: Vec<f64> = (0..=2 * reach)
        .map(|k| {
            let distance = k as f64 - reach as f64;
            let angle = PI * 0.9 / OVERSAMPLING as f64 * distance;
            let sinc = if k == reach { 1.0 } else { sin(angle) / angle };
            sinc * kaiser(distance / reach as f64, 9.0)
        })
        .collect();
    let sum: f64 = taps.iter().sum();
    (0..(forces.len() + 2 * reach) / OVERSAMPLING)
        .map(|i| {
            let centre = i * OVERSAMPLING;
            let first = centre.saturating_sub(forces.len().saturating_sub(1));
            (first..=centre.min(2 * reach)).map(|k| taps[k] * forces[centre - k]).sum::<f64>() / sum
        })
        .collect()
}

/// Magnitude of the blow's spectrum over half an octave around each of the
/// frequencies (hertz): smooth over the nulls that a pulse has.
#[must_use]
pub fn brightness(force: &[f64], frequencies: &[f64]) -> Vec<f64> {
    const SIZE: usize = 1 << 14;
    let power: Vec<f64> =
        crate::dsp::fft::spectrum(force, SIZE).iter().map(|bin| bin.power()).collect();
    let smooth = crate::dsp::fft::smooth_by_octaves(&power, 0.5);
    frequencies
        .iter()
        .map(|f| {
            let place = f * SIZE as f64 / RATE;
            let bin = maths::whole(place.floor()).min(smooth.len() - 2);
            let share = place - bin as f64;
            smooth[bin].sqrt() * (1.0 - share) + smooth[bin + 1].sqrt() * share
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Askenfelt & Jansson 1990/91: contact lasts about 4 ms in the bass, 2-3 ms
    /// at C4 and under 1 ms in the top octave, and shortens with the blow.
    #[test]
    fn contact_times_are_those_of_real_hammers() {
        let duration = |key, velocity| {
            let force = blow(&Key::new(key), velocity);
            let peak = force.iter().fold(0.0_f64, |m, f| m.max(*f));
            let touching = force.iter().filter(|f| **f > 0.02 * peak).count();
            1000.0 * touching as f64 / RATE
        };
        assert!((2.0..8.0).contains(&duration(36, 80.0)), "{}", duration(36, 80.0));
        assert!((1.0..4.0).contains(&duration(60, 80.0)), "{}", duration(60, 80.0));
        assert!((0.2..1.5).contains(&duration(96, 80.0)), "{}", duration(96, 80.0));
        assert!(duration(60, 120.0) < duration(60, 30.0));
    }

    #[test]
    fn the_hammer_leaves_with_its_momentum_turned() {
        let key = Key::new(60);
        let impulse: f64 = blow(&key, 80.0).iter().sum::<f64>() / RATE;
        let brought = key.hammer_mass * hammer_speed(80.0);
        assert!((1.0..2.0).contains(&(impulse / brought)), "{}", impulse / brought);
    }
}

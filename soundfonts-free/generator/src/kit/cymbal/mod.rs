//! Cymbals: a plate with hundreds of modes, struck by wood. A blow first moves the low modes; what
//! they hand on builds up the high ones within some milliseconds, and a hard blow hands on more
//! (Rossing & Shepherd 1982, Touzé, Thomas & Amabili 2011). Where so many modes share the energy that
//! no ear can tell them apart, the rest is noise that follows the same decay: the wash.

pub mod crash;
pub mod hi_hat;
pub mod plate;
pub mod ride;

use crate::curve::{self, Points};
use crate::dsp::maths::{self, TURN, exp, log2, pow, samples};
use crate::dsp::modes::{self, Mode};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, window};
use crate::envelope;
use crate::kit::band_noise::{self, Band};
use crate::kit::contact::Contact;
use plate::Plate;

/// A cymbal: what stays the same from stroke to stroke.
#[derive(Clone, Copy, Debug)]
pub struct Cymbal {
    /// The bronze.
    pub plate: Plate,
    /// Level of one mode in dB over frequency, struck hard where it is usually struck.
    pub spectrum: Points,
    /// T60 in seconds over frequency.
    pub t60: Points,
    /// Seconds until a mode has its energy, over frequency.
    pub build_up: Points,
    /// How unequally a stroke at one place excites the modes: standard deviation in dB.
    pub scatter_db: f64,
    /// Below this frequency, in Hz, the plate is too small to radiate.
    pub radiates_above: f64,
    /// Level of the wash in dB against the modes.
    pub wash_db: f64,
    /// How much brighter than the modes the wash is above 5.5 kHz, dB per octave.
    pub wash_tilt: f64,
}

/// One stroke.
#[derive(Clone, Copy, Debug)]
pub struct Stroke {
    /// Above this frequency, in Hz, the contact is too slow to excite the modes.
    pub bandwidth: f64,
    /// Share of the energy that arrives late (0 to 1).
    pub late_share: f64,
    /// Decibels to add to the wash: hard strokes have more of it.
    pub wash_db: f64,
    /// Decibels per octave above 1.5 kHz to take from the modes.
    pub darker: f64,
    /// What the stick itself sounds like, if it is heard.
    pub contact: Option<Contact>,
    /// Names this stroke: where exactly the stick lands.
    pub seed: u64,
}

/// How much of the modes' scatter is the same for every stroke, since the stick lands near the same
/// place, and how much is not: squares that sum to one (from memory).
const SAME_PLACE: f64 = 0.8;
/// See [`SAME_PLACE`].
const ANOTHER_PLACE: f64 = 0.6;
/// Below this time a mode counts as there at once, s.
const AT_ONCE: f64 = 0.0015;
/// Scatter of the modes' decay times, in nepers (from memory).
const T60_SCATTER: f64 = 0.25;
/// Scatter of the modes' build-up times, in nepers (from memory).
const BUILD_UP_SCATTER: f64 = 0.4;
/// Centres of the wash's bands' envelope, Hz.
const WASH_CORNERS: [f64; 7] = [250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 15_000.0];
/// The wash dies away a little sooner than the modes that feed it.
const WASH_T60_RATIO: f64 = 0.75;
/// No stick is quicker: the first samples rise over this time, s.
const FIRST_RISE: f64 = 3.6e-4;
/// The wash needs at least this long to come up, s.
const WASH_RISE: f64 = 0.004;

impl Cymbal {
    /// The sound of `stroke`, `length` samples of it.
    #[must_use]
    pub fn strike(&self, stroke: &Stroke, length: usize) -> Vec<f64> {
        let mut sound = modes::ring(&self.excited_modes(stroke), length, RATE);
        let reference = envelope::rms(envelope::head(&sound, 0.5));
        let wash = band_noise::shaped(&self.wash_bands(stroke), length, stroke.seed ^ 0x5741);
        let wash_level = envelope::rms(envelope::head(&wash, 0.5));
        if wash_level > 0.0 {
            let gain = reference * maths::amplitude(self.wash_db + stroke.wash_db) / wash_level;
            envelope::add(&mut sound, &wash, gain);
        }
        if let Some(contact) = &stroke.contact {
            let reference = envelope::rms(envelope::head(&sound, 0.1));
            contact.add_to(&mut sound, reference, stroke.seed ^ 0x434f);
        }
        for (sample, gain) in sound.iter_mut().zip(window::ramp_up(samples(FIRST_RISE, RATE))) {
            *sample *= gain;
        }
        sound
    }

    /// Level in dB of a mode at `hertz` in `stroke`.
    fn mode_level(&self, stroke: &Stroke, hertz: f64) -> f64 {
        let darker = stroke.darker * log2(hertz / 1500.0).max(0.0);
        // A contact of finite time excites modes less and less above its bandwidth: exp(−(f/f₀)^1.5).
        let contact = maths::decibels(exp(-pow(hertz / stroke.bandwidth, 1.5)));
        curve::level_at(self.spectrum, hertz) - darker + contact
    }

    /// The plate's modes as this stroke sets them going, and what holds the late ones back.
    fn excited_modes(&self, stroke: &Stroke) -> Vec<Mode> {
        let mut noise = Noise::new(stroke.seed);
        let mut excited = Vec::new();
        let mut corrections = Vec::new();
        for plate_mode in self.plate.modes() {
            let hertz = plate_mode.hertz;
            let strength = SAME_PLACE * plate_mode.strength + ANOTHER_PLACE * noise.gaussian();
            let level = self.mode_level(stroke, hertz) + self.scatter_db * strength;
            let radiated = 1.0 / (1.0 + pow(self.radiates_above / hertz, 6.0)).sqrt();
            let t60 = curve::time_at(self.t60, hertz) * exp(T60_SCATTER * plate_mode.damping);
            let mode = Mode {
                frequency: hertz,
                amplitude: radiated * maths::amplitude(level),
                decay: maths::decay_for_t60(t60),
                phase: TURN * noise.uniform(),
            };
            excited.push(mode);
            let rise =
                curve::time_at(self.build_up, hertz) * exp(BUILD_UP_SCATTER * plate_mode.lateness);
            if rise > AT_ONCE && stroke.late_share > 0.0 {
                corrections.push(envelope::held_back(mode, stroke.late_share, rise));
            }
        }
        excited.append(&mut corrections);
        excited
    }

    /// The wash's level and decay over frequency.
    fn wash_bands(&self, stroke: &Stroke) -> Vec<Band> {
        WASH_CORNERS
            .iter()
            .map(|&hertz| Band {
                hertz,
                // A band of constant width on the logarithmic scale holds modes in proportion to its
                // frequency: 10·log10(f).
                level_db: self.mode_level(stroke, hertz)
                    + 10.0 * libm::log10(hertz)
                    + self.wash_tilt * log2(hertz / 5500.0).max(0.0),
                t60: WASH_T60_RATIO * curve::time_at(self.t60, hertz),
                rise: WASH_RISE + curve::time_at(self.build_up, hertz),
            })
            .collect()
    }
}

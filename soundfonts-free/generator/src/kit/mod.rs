//! The jazz kit: a plate, a skin or a stick in motion for each stroke, and where it lies on the keys.
//!
//! ```text
//! cymbal, drum, brush, sticks, clicks  ──>  recipe  ──>  zones on keys
//!          (one stroke each)               (stored)        (keys)
//! ```

pub mod band_noise;
pub mod brush;
pub mod contact;
pub mod cymbal;
pub mod drum;
pub mod keys;
pub mod recipe;
pub mod room;
pub mod stick_wood;
pub mod sticks;

mod brush_kit;
mod ride_strokes;

pub use brush_kit::brushes;

use crate::clicks;
use crate::sf2::Instrument;
use cymbal::{crash, hi_hat, ride};
use drum::{cross_stick, kick, snare, tom};
use keys::Place;
use rayon::prelude::*;
use recipe::Recipe;
use std::ops::RangeInclusive;

/// Full bandwidth, for what sizzles; Hz.
const FULL: u32 = 44_100;
/// For cymbals that ring, for wires and for wood: up to 15 kHz.
const RINGING: u32 = 32_000;
/// For skins: up to 10 kHz.
const SKIN: u32 = 22_050;

/// A velocity layer: the velocities that play it, and the one (0 to 1) at which it is computed.
type Layer = (RangeInclusive<u8>, f64);

/// One layer for all.
const ONE: [Layer; 1] = [(1..=127, 96.0 / 127.0)];
/// Soft and loud.
const TWO: [Layer; 2] = [(1..=76, 56.0 / 127.0), (77..=127, 104.0 / 127.0)];
/// Soft, middle, loud.
const THREE: [Layer; 3] =
    [(1..=60, 44.0 / 127.0), (61..=96, 80.0 / 127.0), (97..=127, 114.0 / 127.0)];
/// The kick's: feathered, middle, loud.
const FEATHERED: [Layer; 3] =
    [(1..=40, 25.0 / 127.0), (41..=84, 66.0 / 127.0), (85..=127, 108.0 / 127.0)];

/// Recipes for one stroke over `layers`.
fn layered(
    name: &str,
    place: Place,
    rate: u32,
    layers: &[Layer],
    stroke: impl Fn(f64) -> Vec<f64> + Clone + Send + Sync + 'static,
) -> Vec<Recipe> {
    let layer = |(velocities, velocity): &Layer| {
        let (stroke, velocity) = (stroke.clone(), *velocity);
        Recipe {
            name: format!("{name} {}", velocities.end()),
            place,
            velocities: velocities.clone(),
            rate,
            stroke: Box::new(move || stroke(velocity)),
        }
    };
    layers.iter().map(layer).collect()
}

/// All strokes of the standard kit but the ride's.
fn recipes() -> Vec<Recipe> {
    let mut all = layered("Kick", keys::KICK, SKIN, &FEATHERED, kick::pedal);
    all.extend(layered("Snare", keys::SNARE, RINGING, &THREE, snare::stick));
    all.extend(layered("Cross-stick", keys::CROSS_STICK, RINGING, &TWO, |v| {
        cross_stick::knock(v, 552)
    }));
    all.extend(layered("Floor tom", keys::FLOOR_TOM, SKIN, &TWO, |v| tom::FLOOR.stick(v, 1.2)));
    all.extend(layered("Rack tom", keys::RACK_TOM, SKIN, &TWO, |v| tom::RACK.stick(v, 1.0)));
    for (take, (closed, pedal)) in (1..).zip(keys::CLOSED_HAT.into_iter().zip(keys::PEDAL_HAT)) {
        let name = format!("Closed hat {take}");
        all.extend(layered(&name, closed, FULL, &TWO, move |v| hi_hat::closed(v, 320 + take)));
        let name = format!("Pedal hat {take}");
        all.extend(layered(&name, pedal, FULL, &ONE, move |v| hi_hat::pedal(v, 330 + take)));
    }
    all.extend(layered("Open hat", keys::OPEN_HAT, RINGING, &ONE, |v| hi_hat::open(v, 340, 2.2)));
    all.extend(layered("Ride bell", keys::RIDE_BELL, RINGING, &ONE, |v| ride::bell(v, 151, 2.3)));
    all.extend(layered("Crash", keys::CRASH, RINGING, &ONE, |v| crash::edge(v, 202, 3.0)));
    all.extend(layered("Sticks", keys::STICKS, RINGING, &ONE, |_| sticks::knock()));
    let block = |hertz| move |_| clicks::wood_block(hertz);
    all.extend(layered("High block", keys::HIGH_BLOCK, RINGING, &ONE, block(clicks::HIGH_BLOCK)));
    all.extend(layered("Low block", keys::LOW_BLOCK, RINGING, &ONE, block(clicks::LOW_BLOCK)));
    let soft = |hertz| move |_| clicks::soft(hertz);
    all.extend(layered("Soft click", keys::SOFT_CLICK, SKIN, &ONE, soft(clicks::SOFT)));
    all.extend(layered("Soft accent", keys::SOFT_ACCENT, SKIN, &ONE, soft(clicks::SOFT_ACCENT)));
    all
}

/// The standard kit.
#[must_use]
pub fn instrument() -> Instrument {
    let mut drums = Instrument::new("Jazz Kit");
    let recipes = recipes();
    let stored: Vec<recipe::Stored> =
        recipes.par_iter().map(|recipe| recipe::store(&(recipe.stroke)(), recipe.rate)).collect();
    for (recipe, stored) in recipes.iter().zip(stored) {
        recipe::cook(&mut drums, recipe, stored);
    }
    ride_strokes::add(&mut drums);
    drums.zones.sort_by_key(|zone| (*zone.keys.start(), *zone.velocities.start()));
    drums
}

//! Brighter when struck harder; cymbals between noise and bells.

use super::listen::{KIT, PIANO, note, seconds};
use super::measure::{Spectrum, power_decibels};
use super::none;

/// Spectral centroid of the first half second.
fn centroid(key: i32, velocity: i32) -> f64 {
    Spectrum::of(&note(PIANO, key, velocity, 0.5).sum()).centroid()
}

#[test]
fn piano_brightens_with_velocity() {
    let mut found = Vec::new();
    for key in (40..=76).step_by(4) {
        let velocities: Vec<i32> = (20..=127).step_by(4).chain([127]).collect();
        let centroids: Vec<f64> = velocities.iter().map(|&v| centroid(key, v)).collect();
        for (pair, velocity) in centroids.windows(2).zip(&velocities[1..]) {
            // Half a per cent is the noise of the measurement.
            if pair[1] < 0.995 * pair[0] || pair[1] > 1.25 * pair[0] {
                found.push(format!("key {key}: {:.0} to {:.0} Hz at {velocity}", pair[0], pair[1]));
            }
        }
        let ratio = centroid(key, 127) / centroid(key, 35);
        if ratio < 1.3 {
            found.push(format!("key {key}: centroid ratio {ratio:.2}"));
        }
    }
    none(&found);
}

/// Arithmetic over geometric mean of the power in bins, in bands of 200 Hz from
/// 1 to 12 kHz, averaged in decibels; 0.25 to 1 s after the stroke.
fn peakiness(key: i32) -> f64 {
    let sound = note(KIT, key, 90, 1.05).sum();
    let spectrum = Spectrum::of(&sound[seconds(0.25)..seconds(1.0)]);
    let bands: Vec<f64> = (5..60)
        .map(|band| {
            let low = spectrum.bin(200.0 * f64::from(band));
            let high = spectrum.bin(200.0 * f64::from(band + 1));
            let bins = &spectrum.power[low..high];
            let count = bins.len() as f64;
            let arithmetic = bins.iter().sum::<f64>() / count;
            let geometric = bins.iter().map(|&p| power_decibels(p)).sum::<f64>() / count;
            power_decibels(arithmetic) - geometric
        })
        .collect();
    bands.iter().sum::<f64>() / bands.len() as f64
}

/// White noise gives 2.5 dB, a bell far more.
#[test]
fn cymbals_are_neither_noise_nor_bells() {
    let (ride, crash) = (peakiness(51), peakiness(49));
    assert!((12.0..=20.0).contains(&ride), "ride {ride:.1} dB");
    assert!((4.0..=10.0).contains(&crash), "crash {crash:.1} dB");
}

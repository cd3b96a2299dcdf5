//! One partial of the two or three strings of a note, coupled by the bridge.
//!
//! Strings of a unison share a bridge that gives way a little. Moving together
//! they lose energy to it quickly; moving against each other they hardly move
//! it and ring on. Slight mistuning turns the one motion into the other, which
//! is where the two-stage decay and the slow beating of a piano tone come from
//! (Weinreich 1977, JASA 62).
//!
//! With `d[j]` the complex frequency offset of string j alone and `a` the
//! coupling, the bridge force after a blow has the transfer function
//! `N(s) / (1 + a·N₁(s))` with `N(s) = Σ blow[j] / (s - d[j])` and N₁ the same
//! for equal blows. Its poles are the motions of the coupled unison; they are
//! the roots of a polynomial of the order of the number of strings.

use crate::dsp::complex::Complex;

/// A decaying oscillation relative to the partial's own frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Complex frequency offset: decay (negative real part) and detuning, both
    /// per second.
    pub pole: Complex,
    /// Share of the blow that goes into it.
    pub residue: Complex,
}

/// The coupled motions of strings with the given offsets (per second; real part
/// negative), all tied to one bridge with the given coupling (per second), and
/// struck with the given shares of the blow.
#[must_use]
pub fn motions(offsets: &[Complex], coupling: Complex, blows: &[f64]) -> Vec<Motion> {
    let roots = roots(offsets, coupling);
    roots
        .iter()
        .enumerate()
        .map(|(k, &root)| {
            // Residue of N·Π(s - d) / Π(s - roots) at this root.
            let numerator = (0..offsets.len())
                .fold(Complex::ZERO, |sum, j| sum + product_without(offsets, j, root) * blows[j]);
            let slope = product_without(&roots, k, root);
            Motion { pole: root, residue: numerator / slope }
        })
        .collect()
}

/// `Π (s - points[i])` over all i but `left_out`.
fn product_without(points: &[Complex], left_out: usize, s: Complex) -> Complex {
    points
        .iter()
        .enumerate()
        .filter(|&(i, _)| i != left_out)
        .fold(Complex::ONE, |product, (_, &point)| product * (s - point))
}

/// Roots of `Π(s - d) + a·Σ Π(s - d, without one)`, all at once (Durand 1960,
/// Kerner 1966).
fn roots(offsets: &[Complex], coupling: Complex) -> Vec<Complex> {
    let polynomial = |s: Complex| {
        let full = product_without(offsets, usize::MAX, s);
        (0..offsets.len()).fold(full, |sum, j| sum + coupling * product_without(offsets, j, s))
    };
    let size = coupling.magnitude() + offsets.iter().map(|d| d.magnitude()).fold(0.0, f64::max);
    let mut roots: Vec<Complex> = (0..offsets.len())
        .map(|k| offsets[k] + Complex::polar(0.3 * size + 1e-6, 0.4 + 2.1 * k as f64))
        .collect();
    for _ in 0..80 {
        for k in 0..roots.len() {
            let step = polynomial(roots[k]) / product_without(&roots, k, roots[k]);
            roots[k] = roots[k] - step;
        }
    }
    roots
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two equal strings (Weinreich 1977): moving together they decay by twice
    /// the coupling and their own loss, against each other by their own alone;
    /// an even blow excites only the first.
    #[test]
    fn equal_strings_move_together_or_against() {
        let own = Complex::new(-0.3, 0.0);
        let nearly = Complex::new(-0.3, 1e-6);
        let found = motions(&[own, nearly], Complex::new(2.0, 0.0), &[1.0, 1.0]);
        let fast = found.iter().find(|m| m.pole.re < -1.0).unwrap();
        let slow = found.iter().find(|m| m.pole.re > -1.0).unwrap();
        assert!((fast.pole.re + 4.3).abs() < 1e-4);
        assert!((slow.pole.re + 0.3).abs() < 1e-4);
        assert!((fast.residue.re - 2.0).abs() < 1e-3);
        assert!(slow.residue.magnitude() < 1e-3);
    }

    /// Uncoupled strings keep to themselves.
    #[test]
    fn without_a_bridge_nothing_changes() {
        let offsets = [(-1.0, 3.0), (-1.0, -2.0), (-1.0, 0.5)].map(|(re, im)| Complex::new(re, im));
        let found = motions(&offsets, Complex::ZERO, &[1.0, 1.0, 1.0]);
        for d in offsets {
            assert!(found.iter().any(|m| (m.pole - d).magnitude() < 1e-6));
        }
    }
}

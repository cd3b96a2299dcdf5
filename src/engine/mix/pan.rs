//! A place between left and right.

use std::f64::consts::FRAC_PI_4;

use crate::simd::{SimdKernel, dispatch};

/// How a stereo signal is laid into another: the share of each input in each output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Matrix {
    left_to_left: f32,
    right_to_left: f32,
    left_to_right: f32,
    right_to_right: f32,
}

impl Matrix {
    /// A gain and a place, from -1 (left) to 1 (right), by the sine law: the sum of the powers of
    /// both sides stays. On its way to a side the signal is narrowed, so that nothing of it gets
    /// lost there.
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub(super) fn new(gain: f64, pan: f64) -> Matrix {
        let pan = pan.clamp(-1.0, 1.0);
        let angle = (pan + 1.0) * FRAC_PI_4;
        let (right, left) = angle.sin_cos();
        let root_two = std::f64::consts::SQRT_2;
        let (left, right) = (gain * root_two * left, gain * root_two * right);
        let width = 1.0 - pan.abs();
        let (same, other) = (f64::midpoint(1.0, width), f64::midpoint(1.0, -width));
        Matrix {
            left_to_left: (left * same) as f32,
            right_to_left: (left * other) as f32,
            left_to_right: (right * other) as f32,
            right_to_right: (right * same) as f32,
        }
    }

    /// The same place at another level.
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub(super) fn scaled(self, gain: f64) -> Matrix {
        let gain = gain as f32;
        Matrix {
            left_to_left: self.left_to_left * gain,
            right_to_left: self.right_to_left * gain,
            left_to_right: self.left_to_right * gain,
            right_to_right: self.right_to_right * gain,
        }
    }

    /// Adds a signal in its place to another of the same length; the first of several takes the
    /// place of what is there.
    pub(super) fn lay(
        &self,
        from: [&[f32]; 2],
        left: &mut [f32],
        right: &mut [f32],
        is_first: bool,
    ) {
        if is_first {
            dispatch(Laying { matrix: self, from, left, right, join: |_, new| new });
        } else {
            dispatch(Laying { matrix: self, from, left, right, join: |old, new| old + new });
        }
    }

    /// Whether both channels stay where they are, at one level.
    fn is_straight(&self) -> bool {
        let near_nothing = |value: f32| value.abs() <= self.left_to_left.abs() * 1e-6;
        near_nothing(self.right_to_left)
            && near_nothing(self.left_to_right)
            && near_nothing(self.left_to_left - self.right_to_right)
    }
}

/// A signal that is laid in its place.
struct Laying<'a, Join> {
    matrix: &'a Matrix,
    from: [&'a [f32]; 2],
    left: &'a mut [f32],
    right: &'a mut [f32],
    /// What comes of a sample that was there and a new one.
    join: Join,
}

impl<Join: Fn(f32, f32) -> f32> SimdKernel for Laying<'_, Join> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Laying { matrix, from, left, right, join } = self;
        let [from_left, from_right] = from;
        if matrix.is_straight() {
            let gain = matrix.left_to_left;
            for (to, from) in left.iter_mut().zip(from_left) {
                *to = join(*to, gain * from);
            }
            for (to, from) in right.iter_mut().zip(from_right) {
                *to = join(*to, gain * from);
            }
            return;
        }
        let inputs = from_left.iter().zip(from_right);
        for ((left, right), (from_left, from_right)) in left.iter_mut().zip(right).zip(inputs) {
            let to_left = matrix.left_to_left * from_left + matrix.right_to_left * from_right;
            let to_right = matrix.left_to_right * from_left + matrix.right_to_right * from_right;
            (*left, *right) = (join(*left, to_left), join(*right, to_right));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(pan: f64) -> (f32, f32) {
        let (mut left, mut right) = ([0.0], [0.0]);
        Matrix::new(1.0, pan).lay([&[1.0], &[1.0]], &mut left, &mut right, true);
        (left[0], right[0])
    }

    #[test]
    fn power_stays_from_side_to_side() {
        for step in -10_i32..=10 {
            let (left, right) = placed(f64::from(step) / 10.0);
            assert!((left * left + right * right - 2.0).abs() < 1e-5, "at {step}");
        }
    }

    #[test]
    fn the_middle_changes_nothing_and_a_side_leaves_the_other_empty() {
        let (mut left, mut right) = ([0.0], [0.0]);
        Matrix::new(1.0, 0.0).lay([&[0.25], &[-0.5]], &mut left, &mut right, true);
        assert!((left[0] - 0.25).abs() < 1e-7 && (right[0] + 0.5).abs() < 1e-7);
        assert!(placed(-1.0).1.abs() < 1e-6);
        assert!(placed(1.0).0.abs() < 1e-6);
    }
}

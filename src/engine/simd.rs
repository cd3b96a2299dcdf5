//! Loops on the widest vector registers that the processor has.
//!
//! A program that runs on every 64-bit PC may use registers of four samples; most PCs have
//! eight. `pulp` asks the processor once and then runs the copy of a loop that was compiled
//! for what it has, so that nothing here is unsafe. All copies compute the same bits: the compiler
//! neither fuses nor reorders floating-point arithmetic.

/// A loop, with all that it works on.
pub trait SimdKernel {
    /// What comes of it.
    type Output;

    /// Runs it. This, and all that it calls, must be `#[inline(always)]`: only what is inlined into
    /// [`dispatch`] is compiled for the processor. Closures that hold loops are not.
    fn run(self) -> Self::Output;
}

/// Runs a loop as it was compiled for the processor at hand.
pub fn dispatch<Kernel: SimdKernel>(kernel: Kernel) -> Kernel::Output {
    pulp::Arch::new().dispatch(Dispatched(kernel))
}

/// The largest absolute value; not-a-numbers are passed over. Eight at a time, since one maximum
/// would wait for the other.
#[inline(always)]
pub fn largest(samples: &[f32]) -> f32 {
    let higher = |peak: f32, value: f32| if value > peak { value } else { peak };
    let (eights, rest) = samples.as_chunks::<8>();
    let mut peaks = [0.0_f32; 8];
    for eight in eights {
        for (peak, sample) in peaks.iter_mut().zip(eight) {
            *peak = higher(*peak, sample.abs());
        }
    }
    // Halves against each other, for the same reason.
    for half in [4, 2, 1] {
        for lane in 0..half {
            peaks[lane] = higher(peaks[lane], peaks[lane + half]);
        }
    }
    rest.iter().map(|sample| sample.abs()).fold(peaks[0], higher)
}

/// Whether any sample is not 0.
pub fn sounds(samples: &[f32]) -> bool {
    dispatch(Sounds(samples))
}

struct Sounds<'a>(&'a [f32]);

impl SimdKernel for Sounds<'_> {
    type Output = bool;

    /// Sound is mostly found in the first frames; silence is gone through to its end.
    #[inline(always)]
    fn run(self) -> bool {
        self.0.chunks(256).any(|samples| largest(samples) > 0.0)
    }
}

struct Dispatched<Kernel>(Kernel);

impl<Kernel: SimdKernel> pulp::NullaryFnOnce for Dispatched<Kernel> {
    type Output = Kernel::Output;

    #[inline(always)]
    fn call(self) -> Kernel::Output {
        self.0.run()
    }
}

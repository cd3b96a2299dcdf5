//! Loops on the widest vector registers that the processor has.
//!
//! A program that runs on every 64-bit PC may use registers of four samples; most PCs have
//! eight. `pulp` asks the processor once and then runs the copy of a loop that was compiled
//! for what it has, so that nothing here is unsafe. All copies compute the same bits: the compiler
//! neither fuses nor reorders floating-point arithmetic.

/// Work that is worth it, with all that it works on.
pub(crate) trait Lanes {
    /// What comes of it.
    type Output;

    /// Does it. This, and all that it calls, must be `#[inline(always)]`: only what is inlined into
    /// [`widest`] is compiled for the processor. Closures that hold loops are not.
    fn work(self) -> Self::Output;
}

/// Does work compiled for the processor at hand.
pub(crate) fn widest<Work: Lanes>(work: Work) -> Work::Output {
    pulp::Arch::new().dispatch(Dispatched(work))
}

struct Dispatched<Work>(Work);

impl<Work: Lanes> pulp::NullaryFnOnce for Dispatched<Work> {
    type Output = Work::Output;

    #[inline(always)]
    fn call(self) -> Work::Output {
        self.0.work()
    }
}

//! Explanations against the composer; `tests/explained/` holds them against roles written by hand.

mod composed;

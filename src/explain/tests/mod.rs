//! Explanations against the composer; `tests/library/explained/` holds them against roles written by hand.

mod composed;

//! Explanations against the composer, and against roles written by hand.

mod by_hand;
mod composed;

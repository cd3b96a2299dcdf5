//! Random streams named after the bar that they are for.

use crate::arrange::TimelineBar;
use crate::random::Stream;

/// The stream of one choice in one bar, such as `"bass rhythm"`: the same whatever stands before
/// the bar, and another one for each chorus and for the answer to a phrase.
pub(crate) fn of_bar(seed: u64, choice: &str, bar: &TimelineBar) -> Stream {
    let kind = format!("{:?}", bar.kind);
    Stream::named(seed, &[&choice, &bar.chorus, &kind, &bar.form_bar])
}

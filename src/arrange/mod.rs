//! A chart and a practice shape become a timeline: what happens when.
//!
//! The shape says which choruses there are (`choruses`), these become bars (`sketch`), the
//! bars' chords get their functions (`harmonise`), and `layout` gives everything its time.

mod arrangement;
mod choruses;
mod count_in;
mod ending;
mod harmonise;
mod intro;
mod key_order;
mod layout;
mod markers;
mod passage;
mod sketch;
mod timeline;

#[cfg(test)]
mod tests;

use crate::performance::TempoMap;
pub use arrangement::{ArrangeError, Arrangement, CountIn, Ending, Intro, Shape, TradeWith};
pub use key_order::KeyOrder;
pub use markers::{Marker, MarkerKind};
pub use passage::{Chorus, Passage, PassageError};
pub use timeline::{BarKind, Timeline, TimelineBar, TimelineSlot};

use crate::chart::Chart;

/// Arranges a chart.
///
/// # Errors
/// A ladder that does not climb, or more bars than a track may have.
pub fn arrange(chart: &Chart, arrangement: &Arrangement) -> Result<Timeline, ArrangeError> {
    let choruses = choruses::choruses(chart, arrangement)?;
    let bars = sketch::sketch(chart, arrangement, &choruses);
    let bars = harmonise::harmonise(bars);
    let bars = sketch::with_answers(bars, &arrangement.shape);
    let bars = sketch::with_turns(bars, &arrangement.shape);
    Ok(layout::layout(chart, arrangement, bars))
}

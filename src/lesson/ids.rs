//! References from one part of a lesson to another.

use crate::chart::Chart;

use super::{Lesson, LineSpec};

/// One of a lesson's charts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChartId(pub(super) usize);

/// One of a lesson's lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineId(pub(super) usize);

impl Lesson {
    /// A chart of this lesson; only this lesson's own charts are asked for.
    #[must_use]
    pub fn chart(&self, id: ChartId) -> &Chart {
        &self.charts[id.0]
    }

    /// A line of this lesson; only this lesson's own lines are asked for.
    #[must_use]
    pub fn line(&self, id: LineId) -> &LineSpec {
        &self.lines[id.0]
    }

    /// All charts, in the order of the file.
    pub fn charts(&self) -> impl Iterator<Item = (ChartId, &Chart)> {
        self.charts.iter().enumerate().map(|(index, chart)| (ChartId(index), chart))
    }

    /// All lines, in the order of the file.
    pub fn lines(&self) -> impl Iterator<Item = (LineId, &LineSpec)> {
        self.lines.iter().enumerate().map(|(index, line)| (LineId(index), line))
    }

    /// How many tracks there are.
    #[must_use]
    pub fn track_count(&self) -> u32 {
        self.tracks.iter().map(|_| 1).sum()
    }
}

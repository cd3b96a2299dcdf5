//! A take becomes its mixes: all of them in one pass, block by block, measured and levelled.
//!
//! The gain of a mix must be known before its first frame is written, and it follows from the
//! loudness of the whole. So a take is gone through twice. The first time (`survey`) only the
//! fullest mix is measured; the second time (`console`) all mixes are made and written. What the
//! survey heard is kept in a file (`recording`), and only of long takes made again; where the limiter leaves a mix as it was surveyed, its loudness is not measured again. A bus that several
//! takes have in common is played once for all of them (`common`).
//!
//! In the rare case that the second time shows what the first could not know (a leaner mix with
//! higher peaks, or a limiter that took away more loudness than there is tolerance for), the gain
//! is put right and the second time repeated.
//!
//! ```text
//! stems ─┬─> bus ─> room ─┬─> mix ─> limiter ─> fade ─> meters ─> sink
//!        └─> bus ─> room ─┴─> mix ─> …
//! ```

mod block;
mod buses;
mod common;
mod console;
mod desk;
mod dither;
mod error;
mod gains;
mod given_peak;
mod groups;
mod level;
mod limiter;
mod meter;
mod mixdown;
mod pan;
mod playback;
mod recording;
mod report;
mod source;
mod spec;
mod survey;
mod tail;
mod take;
mod tape;

pub use common::CommonBus;
pub use desk::{Channel, Desk};
pub use dither::{Dither, to_int24};
pub use error::MixError;
pub use level::{CEILING, MOST_REDUCTION};
pub use limiter::{LATENCY, Limiter, LimiterReport};
pub use meter::{Loudness, LoudnessMeter, TruePeakMeter};
pub use report::{MixReport, TakeReport};
pub use source::{BlockSink, RoomSource, StemSource, Studio};
pub use spec::{Balance, Extent, LevelRule, MixSettings, MixSpec};
pub use tail::LONGEST_SECONDS as LONGEST_TAIL_SECONDS;
pub use take::render;

//! SoundFont 2.01 files (E-mu / Creative Technology, SoundFont Technical
//! Specification 2.01), written from instruments in physical units.
//!
//! An [`Instrument`] owns its [`Sample`]s and says by [`Zone`]s which key and
//! velocity plays which of them and how. A [`Bank`] collects instruments and
//! presets; [`Bank::to_bytes`] makes the file. Seconds, hertz, cents and
//! decibels become generator amounts in one place, `generators`.
//!
//! What the synthesiser of this program (rustysynth) does with a file, as read
//! in its source, and what that asks of an instrument:
//! - modulators are ignored: level follows 40·log10(velocity / 127) and nothing
//!   else follows velocity, so timbre by velocity takes zones by velocity;
//! - attenuation counts 0.4 of its nominal value, as in the hardware that the
//!   format was made for; [`Zone::attenuation`] is in decibels as heard;
//! - a voice with a total gain under -60 dB is muted, so samples are stored at
//!   nearly full scale;
//! - decay and release run to -80 dB in their time, in a straight line of
//!   decibels; [`Envelope`] takes rates per second, which does not depend on
//!   where a synthesiser puts the floor by more than 100 / 80;
//! - a choke group reuses the voice, so choked sounds have one voice only.

mod bank;
mod chunks;
mod envelope;
mod generators;
mod instrument;
mod sample_data;

pub use bank::{Bank, InstrumentId, Layer, Sf2Error};
pub use envelope::{Envelope, Glide, Tremolo, Vibrato};
pub use instrument::{Instrument, Playback, Sample, SampleId, Zone};

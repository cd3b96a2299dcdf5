//! How a zone's level and pitch move while it sounds.

/// Level of a zone over time: silence, a straight rise, full level, a fall in
/// decibels per second without end, and the fall after the key is let go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Envelope {
    /// Seconds from silence to full level; 0 starts at full level.
    pub attack: f64,
    /// Seconds at full level before the fall begins.
    pub hold: f64,
    /// Whether `hold` is meant at the sample's root key and shortens as the
    /// sample is played higher: a fall that begins where a loop does.
    pub hold_follows_pitch: bool,
    /// Fall while the key is held, in decibels per second; 0 holds for ever.
    pub decay_per_second: f64,
    /// Fall after the key is let go, in decibels per second.
    pub release_per_second: f64,
}

impl Envelope {
    /// Full level until the sample ends, and a release that falls by 60 dB in
    /// `seconds`.
    #[must_use]
    pub fn with_release(seconds: f64) -> Self {
        Self {
            attack: 0.0,
            hold: 0.0,
            hold_follows_pitch: false,
            decay_per_second: 0.0,
            release_per_second: 60.0 / seconds,
        }
    }
}

/// A slow periodic change of pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vibrato {
    /// Seconds before it begins.
    pub delay: f64,
    /// In hertz.
    pub rate: f64,
    /// Largest deviation either way, in cents.
    pub depth: f64,
}

/// A slow periodic change of level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tremolo {
    /// Seconds before it begins.
    pub delay: f64,
    /// In hertz.
    pub rate: f64,
    /// Largest deviation either way, in decibels.
    pub depth: f64,
}

/// A note that begins on another pitch and slides to its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glide {
    /// Where it begins, in cents against the note; negative is below.
    pub from: f64,
    /// Seconds before it moves.
    pub hold: f64,
    /// Seconds in which it moves, evenly in cents.
    pub time: f64,
}

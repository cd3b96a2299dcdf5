//! Which stroke lies on which key, how loud, and where it stands in the room.
//!
//! Keys are those of General MIDI level 1 percussion. Second and third takes of the strokes that come
//! most often lie on spare keys above 81, so that a drummer can take turns between them.

/// A key on which a stroke sounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// MIDI key.
    pub key: u8,
    /// Cents by which the stroke is moved there.
    pub tuning: f64,
    /// How much faster it falls there, dB per second.
    pub fall: f64,
}

/// Where strokes of one kind sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Keys.
    pub spots: &'static [Spot],
    /// From -1 (left) to 1 (right), as the audience sees a right-handed drummer.
    pub pan: f64,
    /// Loudness in LU against a note of the other instruments at the same velocity, counted over the
    /// first 0.4 s.
    pub level: f64,
    /// Strokes that end each other.
    pub choke_group: Option<u8>,
}

/// The stroke as it is.
const fn on(key: u8) -> Spot {
    Spot { key, tuning: 0.0, fall: 0.0 }
}

/// The stroke moved by `tuning` cents and falling by `fall` dB per second.
const fn moved(key: u8, tuning: f64, fall: f64) -> Spot {
    Spot { key, tuning, fall }
}

/// A place in the middle without a choke group.
const fn at(spots: &'static [Spot], pan: f64, level: f64) -> Place {
    Place { spots, pan, level, choke_group: None }
}

/// A place of the hi-hat, whose strokes end each other.
const fn hat(spots: &'static [Spot], level: f64) -> Place {
    Place { spots, pan: -0.36, level, choke_group: Some(1) }
}

/// Bass drum.
pub const KICK: Place = at(&[on(35), on(36)], 0.0, -2.0);
/// Snare, and the second snare of General MIDI tuned a little higher.
pub const SNARE: Place = at(&[on(38), moved(40, 70.0, 0.0)], -0.08, -3.0);
/// Cross-stick ("side stick").
pub const CROSS_STICK: Place = at(&[on(37)], -0.08, -5.0);
/// Floor tom: low floor, high floor and low tom.
pub const FLOOR_TOM: Place =
    at(&[moved(41, -150.0, 0.0), moved(43, 50.0, 0.0), moved(45, 250.0, 0.0)], 0.2, 0.0);
/// Rack tom: low-mid, hi-mid and high tom.
pub const RACK_TOM: Place =
    at(&[moved(47, -150.0, 0.0), moved(48, 50.0, 0.0), moved(50, 250.0, 0.0)], -0.05, 0.0);
/// Closed hi-hat, three takes.
pub const CLOSED_HAT: [Place; 3] =
    [hat(&[on(42)], -9.0), hat(&[on(88)], -9.0), hat(&[on(89)], -9.0)];
/// Hi-hat by the foot, three takes.
pub const PEDAL_HAT: [Place; 3] =
    [hat(&[on(44)], -8.0), hat(&[on(86)], -8.0), hat(&[on(87)], -8.0)];
/// Open hi-hat.
pub const OPEN_HAT: Place = hat(&[on(46)], -8.0);
/// Ride, three takes; the first also serves, lower, as the second ride of General MIDI.
pub const RIDE: [Place; 3] = [
    at(&[on(51), moved(59, -140.0, 0.0)], 0.36, -4.0),
    at(&[on(84)], 0.36, -4.0),
    at(&[on(85)], 0.36, -4.0),
];
/// Bell of the ride.
pub const RIDE_BELL: Place = at(&[on(53)], 0.36, -4.0);
/// Crash; higher and shorter it is a splash, lower the second crash.
pub const CRASH: Place = at(&[on(49), moved(55, 600.0, 25.0), moved(57, -180.0, 0.0)], 0.24, 3.5);
/// Two sticks (key 31 of the General Standard's kits).
pub const STICKS: Place = at(&[on(31)], 0.0, -6.0);
/// High wood block.
pub const HIGH_BLOCK: Place = at(&[on(76)], 0.0, -6.0);
/// Low wood block.
pub const LOW_BLOCK: Place = at(&[on(77)], 0.0, -6.0);
/// Soft click.
pub const SOFT_CLICK: Place = at(&[on(33)], 0.0, -8.0);
/// Its accent.
pub const SOFT_ACCENT: Place = at(&[on(34)], 0.0, -8.0);
/// Brush tap, three takes (brush kit).
pub const BRUSH_TAP: [Place; 3] =
    [at(&[on(38)], -0.08, -7.0), at(&[on(90)], -0.08, -7.0), at(&[on(91)], -0.08, -7.0)];
/// Brush slap (brush kit).
pub const BRUSH_SLAP: Place = at(&[on(39)], -0.08, -5.0);
/// Brush swirl (brush kit): sounds as long as its key is held.
pub const BRUSH_SWIRL: Place = at(&[on(40)], -0.08, -11.0);

//! Where every player stands: level, place and share of the room.

use crate::performance::Part;
use crate::units::Decibels;

/// One player's channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Channel {
    /// Level against the comp's.
    pub gain: Decibels,
    /// From -1 (left) to 1 (right). A stem is stereo already: moving it narrows it as well.
    pub pan: f64,
    /// How much goes to the room; `None` keeps the part dry.
    pub room: Option<Decibels>,
}

/// The channels of all players, in the order of the parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Desk {
    channels: [Channel; 6],
}

impl Default for Desk {
    /// The comp is what the student is to imitate, so it leads; a line sings a little above it;
    /// bass and drums carry. The pianist stays in the middle: a file of the left hand alone must
    /// not lean to one side. Levels are our choice, made by meter on the built-in sounds: a walking
    /// bass comes out about 3.5 LU under a rootless comp, a ride pattern 6 LU.
    fn default() -> Desk {
        let channel = |gain, room| Channel { gain: Decibels(gain), pan: 0.0, room };
        let mut desk = Desk { channels: [channel(0.0, None); 6] };
        *desk.channel_mut(Part::Comp) = channel(0.0, Some(Decibels(-14.0)));
        *desk.channel_mut(Part::Line) = channel(1.0, Some(Decibels(-13.0)));
        *desk.channel_mut(Part::Bass) = channel(-2.0, Some(Decibels(-24.0)));
        *desk.channel_mut(Part::Drums) = channel(-1.5, Some(Decibels(-15.0)));
        desk
    }
}

impl Desk {
    /// A player's channel.
    #[must_use]
    pub fn channel(&self, part: Part) -> Channel {
        self.channels[index(part)]
    }

    /// A player's channel, to be set.
    pub fn channel_mut(&mut self, part: Part) -> &mut Channel {
        &mut self.channels[index(part)]
    }
}

const fn index(part: Part) -> usize {
    match part {
        Part::Comp => 0,
        Part::Bass => 1,
        Part::Drums => 2,
        Part::Line => 3,
        Part::Click => 4,
        Part::CountIn => 5,
    }
}

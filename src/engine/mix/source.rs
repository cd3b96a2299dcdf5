//! What the mix takes from the sounds, and what it gives to the files, block by block.

use std::fs::File;
use std::sync::Arc;

use super::common::CommonBus;
use crate::performance::Part;
use crate::performance::{Performance, PerformedPart};

/// A part's dry audio, from its first frame on.
pub trait StemSource: Send {
    /// Adds the next frames, as many as the slices hold, to what is in them.
    ///
    /// # Errors
    /// A message for the user where a note cannot be made to sound.
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String>;
}

/// A linear stereo reverb, from silence on.
pub trait RoomSource: Send {
    /// Adds the room's answer to the next frames of a send.
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]);
}

/// Gives stems and rooms, each time from the beginning: a take is gone through more than once.
pub trait Studio: Sync {
    /// The dry stem of one part of a take.
    ///
    /// # Errors
    /// A message for the user where the part cannot be made to sound.
    fn stem(&self, take: &Performance, part: &PerformedPart)
    -> Result<Box<dyn StemSource>, String>;

    /// A room in which nothing has sounded yet.
    fn room(&self) -> Box<dyn RoomSource>;

    /// The bus of some of a take's parts, where other takes have it in common: on it the same parts
    /// play the same in the same sounds, as long as each of those takes.
    fn common(&self, _take: &Performance, _parts: &[Part]) -> Option<Arc<CommonBus>> {
        None
    }

    /// Whether whoever asked for the take wants it no more: asked once a block.
    fn is_stopped(&self) -> bool {
        false
    }

    /// A new file, to be read and written, for what was heard the first time through a take; it
    /// is gone once it is closed.
    ///
    /// # Errors
    /// Where there is no place for it: the take is made twice, which changes no sample.
    fn file(&self) -> std::io::Result<File> {
        Err(std::io::ErrorKind::Unsupported.into())
    }
}

/// Takes what comes out of a mix.
pub trait BlockSink: Send {
    /// Takes the next frames, full scale being 1.
    ///
    /// # Errors
    /// Where they cannot be written.
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()>;
}

impl<S: BlockSink + ?Sized> BlockSink for Box<S> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        (**self).write_block(left, right)
    }
}

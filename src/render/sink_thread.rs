//! A thread that writes what comes out of a mix, while the next frames are mixed.

use std::io::{Error, Result};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, Scope, ScopedJoinHandle};

use crate::mix::BlockSink;

/// Frames that are handed over at once: eight blocks of the mix. With fewer, threads wait for each
/// other more than they work.
const GATHERED: usize = 8 * 8192;

/// The frames of two channels.
type Samples = [Vec<f32>; 2];

/// Writes to a sink in a thread of its own, which sleeps while there is nothing to write.
pub(super) struct SinkThread<'scope, S> {
    gathered: Samples,
    /// To the thread, and what it has written back from it: one is filled while the other is
    /// written. Closed when all is handed over.
    full: Option<Sender<Samples>>,
    written: Receiver<Samples>,
    thread: Option<ScopedJoinHandle<'scope, Result<S>>>,
}

impl<'scope, S: BlockSink + 'scope> SinkThread<'scope, S> {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system has none to spare.
    pub(super) fn start(
        scope: &'scope Scope<'scope, '_>,
        mut sink: S,
    ) -> Result<SinkThread<'scope, S>> {
        let (full, to_write) = channel::<Samples>();
        let (emptied, written) = channel::<Samples>();
        emptied.send(Samples::default()).map_err(Error::other)?;
        let thread = Builder::new().spawn_scoped(scope, move || {
            for samples in to_write {
                let [left, right] = &samples;
                sink.write_block(left, right)?;
                if emptied.send(samples).is_err() {
                    break;
                }
            }
            Ok(sink)
        })?;
        let gathered = Samples::default();
        Ok(SinkThread { gathered, full: Some(full), written, thread: Some(thread) })
    }

    /// Ends the thread when all is written, and gives the sink back.
    ///
    /// # Errors
    /// Where something could not be written.
    pub(super) fn finish(mut self) -> Result<S> {
        if !self.gathered[0].is_empty() {
            self.hand_over()?;
        }
        self.end()
    }

    fn hand_over(&mut self) -> Result<()> {
        let next = self.written.recv().ok();
        let handed_over = next.and_then(|mut next| {
            next.iter_mut().for_each(Vec::clear);
            let gathered = std::mem::replace(&mut self.gathered, next);
            self.full.as_ref()?.send(gathered).ok()
        });
        match handed_over {
            Some(()) => Ok(()),
            None => self.end().and(Err(Error::other("what writes a mix has ended early"))),
        }
    }
}

impl<S> SinkThread<'_, S> {
    fn end(&mut self) -> Result<S> {
        self.full = None;
        match self.thread.take() {
            Some(thread) => thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
            None => Err(Error::other("what writes a mix has ended already")),
        }
    }
}

impl<'scope, S: BlockSink + 'scope> BlockSink for SinkThread<'scope, S> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> Result<()> {
        for (gathered, samples) in self.gathered.iter_mut().zip([left, right]) {
            gathered.extend_from_slice(samples);
        }
        if self.gathered[0].len() < GATHERED { Ok(()) } else { self.hand_over() }
    }
}

impl<S> Drop for SinkThread<'_, S> {
    /// Nothing of it may be left when a sink for the same file is asked for again.
    fn drop(&mut self) {
        if self.thread.is_some() {
            drop(self.end());
        }
    }
}

//! Ctrl-C and its like: whatever the program does, it stops within a second.
//!
//! Where nothing is being written, the process ends at once. Where files are, whoever writes them
//! is asked to stop, and puts away what is half made; if that takes too long, the process ends all
//! the same. A file has its name only when it is whole, so none is ever half there.

use std::process::exit;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use signal_hook::consts::{SIGINT, SIGTERM};

use super::failure::Failure;

/// How often somebody looks whether a signal has come.
const LOOKS: Duration = Duration::from_millis(20);

/// How long whoever writes files has to stop. Blocks of sound, each asked for by itself, take
/// thousandths of a second; to put a file away may take longer on a slow disk.
const GRACE: Duration = Duration::from_millis(800);

/// The signals that end the program: an interrupt (Ctrl-C), the request to terminate, and the end
/// of the terminal where there is such a signal.
const SIGNALS: &[i32] = &[
    SIGINT,
    SIGTERM,
    #[cfg(unix)]
    signal_hook::consts::SIGHUP,
];

/// What may end the work, and how it is told. Clones share it.
#[derive(Debug, Clone, Default)]
pub(super) struct Interrupt {
    /// The number of the signal that came; 0 for none.
    signal: Arc<AtomicUsize>,
    /// Whether files are being written.
    writing: Arc<AtomicBool>,
    /// Asks whoever writes files to stop.
    stop: Arc<AtomicBool>,
}

impl Interrupt {
    /// Takes the signals from now on.
    pub(super) fn listen() -> Result<Interrupt, Failure> {
        let failed =
            |error: std::io::Error| Failure::work(format!("signals cannot be handled: {error}"));
        let interrupt = Interrupt::default();
        for signal in SIGNALS {
            let number = usize::try_from(*signal).map_err(Failure::internal)?;
            signal_hook::flag::register_usize(*signal, Arc::clone(&interrupt.signal), number)
                .map_err(failed)?;
        }
        let own = interrupt.clone();
        let thread = std::thread::Builder::new().name("signals".to_owned());
        thread.spawn(move || own.keep_looking()).map_err(failed)?;
        Ok(interrupt)
    }

    fn keep_looking(&self) {
        loop {
            std::thread::sleep(LOOKS);
            if let Some(signal) = self.signal() {
                if self.writing.load(Ordering::SeqCst) {
                    self.stop_writing();
                    std::thread::sleep(GRACE);
                }
                // What shells say of a program that a signal ended.
                exit(128 + i32::from(signal));
            }
        }
    }

    /// The number of the signal that came.
    fn signal(&self) -> Option<u8> {
        let number = u8::try_from(self.signal.load(Ordering::SeqCst)).ok()?;
        (number > 0).then_some(number)
    }

    /// Asks whoever writes files to stop, as a signal does, though the program goes on.
    pub(super) fn stop_writing(&self) {
        self.stop.store(true, Ordering::SeqCst);
    }

    /// Whether whoever writes files was asked to stop since [`Interrupt::go_on`].
    pub(super) fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    /// Takes back that writing should stop; a signal never is.
    pub(super) fn go_on(&self) {
        self.stop.store(self.signal().is_some(), Ordering::SeqCst);
    }

    /// Does work that writes files, and stops soon after the flag that it is given is set.
    ///
    /// # Errors
    /// A signal came.
    pub(super) fn while_writing<T>(
        &self,
        work: impl FnOnce(&Arc<AtomicBool>) -> T,
    ) -> Result<T, Failure> {
        self.writing.store(true, Ordering::SeqCst);
        let made = work(&self.stop);
        // It stays set where a signal came: the end is near, and its message comes first.
        match self.signal() {
            Some(signal) => Err(Failure::stopped(signal)),
            None => {
                self.writing.store(false, Ordering::SeqCst);
                Ok(made)
            }
        }
    }
}

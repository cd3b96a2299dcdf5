//! What happens when an input is too much for a reader.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// Longer than this on one input of some kilobytes is a hang.
const HANG: Duration = Duration::from_secs(30);

thread_local! {
    static LAST_PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Calls a reader; where it panics, says where and why.
pub(crate) fn guarded(read: impl FnOnce() -> bool) -> Result<bool, String> {
    std::panic::set_hook(Box::new(|panic| {
        LAST_PANIC.with(|last| *last.borrow_mut() = panic.to_string());
    }));
    catch_unwind(AssertUnwindSafe(read)).map_err(|_| LAST_PANIC.with(RefCell::take))
}

/// Keeps an input for a second look.
pub(crate) fn keep(name: &str, index: u64, input: &[u8]) {
    let folder = folder();
    let path = folder.join(format!("{name}-{index}"));
    if std::fs::create_dir_all(&folder).and_then(|()| std::fs::write(&path, input)).is_ok() {
        super::say(&format!("kept as {}", path.display()));
    }
}

fn folder() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/fuzz"))
}

/// Which input is being read, so that a hang or an abort can be told.
pub(crate) struct Current {
    name: &'static str,
    /// The number of the input, plus one; 0 is none.
    index: AtomicU64,
}

impl Current {
    pub(crate) fn new(name: &'static str) -> Current {
        Current { name, index: AtomicU64::new(0) }
    }

    pub(crate) fn begin(&self, index: u64) {
        self.index.store(index + 1, Ordering::Relaxed);
        // An abort (a stack overflow) leaves no time to speak: every so often the number is told
        // beforehand, and the run is repeated from there.
        if index.is_multiple_of(20_000) && index > 0 {
            super::say(&format!("{:>10}: at {index}", self.name));
        }
    }

    pub(crate) fn end(&self) {
        self.index.store(0, Ordering::Relaxed);
    }
}

/// Ends the program when one input takes too long.
pub(crate) fn watch(current: &Arc<Current>) {
    let current = current.clone();
    std::thread::spawn(move || {
        loop {
            let before = current.index.load(Ordering::Relaxed);
            std::thread::sleep(HANG);
            if before == 0 && Arc::strong_count(&current) == 1 {
                return;
            }
            if before != 0 && before == current.index.load(Ordering::Relaxed) {
                super::say(&format!("{} {}: hangs", current.name, before - 1));
                std::process::exit(1);
            }
        }
    });
}

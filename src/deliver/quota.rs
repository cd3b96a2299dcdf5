//! How much may be written: a disk that gets full when one wants it to.

use std::io::{Error, ErrorKind, Result};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// How many bytes may be written to a folder. By default as many as the disk has room for; what is
/// above a quota fails as on a full disk. Clones share what is left.
///
/// A file that is given up gives nothing back, so that a quota always ends at the same place.
#[derive(Debug, Clone, Default)]
pub struct Quota {
    left: Option<Arc<AtomicU64>>,
}

impl Quota {
    /// Room for so many bytes.
    #[must_use]
    pub fn of(bytes: u64) -> Quota {
        Quota { left: Some(Arc::new(AtomicU64::new(bytes))) }
    }

    /// How many bytes may still be written; none where there is no bound.
    #[must_use]
    pub fn left(&self) -> Option<u64> {
        self.left.as_ref().map(|left| left.load(Ordering::Relaxed))
    }

    /// Room for up to so many bytes: as many of them as fit, as a disk does.
    pub(super) fn take(&self, bytes: usize) -> Result<usize> {
        let Some(left) = &self.left else { return Ok(bytes) };
        let mut fit = 0;
        // The closure always gives a new value, so that this cannot fail.
        let _ = left.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |left| {
            fit = usize::try_from(left).map_or(bytes, |left| left.min(bytes));
            Some(left.saturating_sub(fit as u64))
        });
        if fit == 0 && bytes > 0 { Err(Error::from(ErrorKind::StorageFull)) } else { Ok(fit) }
    }
}

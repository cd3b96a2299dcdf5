//! What earlier runs left in a folder: the manifest of the set, and those of shares that nobody
//! has collected yet.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::deliver::{DeliverError, FileEntry, Folder, Manifest, Shard, TakeEntry, Times};

use super::MANIFEST;

/// Where a run writes down what it has made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Names {
    /// The manifest, in the set's folder.
    pub(super) manifest: PathBuf,
    /// The times beside it; hidden, since they concern this copy of the set alone.
    pub(super) times: PathBuf,
}

impl Names {
    /// Of the whole set, or of a share of it.
    pub(super) fn of(shard: Option<Shard>) -> Names {
        let (manifest, times) = match shard {
            None => (MANIFEST.to_owned(), ".countoff.times.json".to_owned()),
            Some(shard) => {
                (format!("manifest.{shard}.json"), format!(".countoff.times.{shard}.json"))
            }
        };
        Names { manifest: manifest.into(), times: times.into() }
    }

    /// Of all shares that have left a manifest in a folder, in order.
    fn of_shares(root: &Path) -> Vec<Names> {
        let Ok(entries) = std::fs::read_dir(root) else { return Vec::new() };
        let shard = |name: String| {
            let (number, count) =
                name.strip_prefix("manifest.")?.strip_suffix(".json")?.split_once("-of-")?;
            format!("{number}/{count}").parse::<Shard>().ok()
        };
        let mut shards: Vec<Shard> = entries
            .filter_map(|entry| shard(entry.ok()?.file_name().to_string_lossy().into_owned()))
            .collect();
        shards.sort_unstable();
        shards.into_iter().map(|shard| Names::of(Some(shard))).collect()
    }

    pub(super) fn paths(&self) -> [&PathBuf; 2] {
        [&self.manifest, &self.times]
    }
}

/// All that is known of a folder before a run.
#[derive(Debug)]
pub(super) struct Known {
    /// Manifests of the whole set and of shares in one, as if one run had made it all.
    pub(super) manifest: Manifest,
    /// What shares wrote down, to be removed once it is in the manifest of the set.
    pub(super) of_shares: Vec<Names>,
}

impl Known {
    /// Reads it all. A folder in which nothing was made yet gives an empty manifest.
    pub(super) fn read(root: &Path) -> Result<Known, DeliverError> {
        let of_shares = Names::of_shares(root);
        let mut manifests = Vec::new();
        for names in of_shares.iter().chain([&Names::of(None)]) {
            manifests.extend(read_manifest(root, names)?);
        }
        let folder = Folder::open(root, [])?;
        let manifest = merge(manifests, |path| folder.stamp(Path::new(path)));
        Ok(Known { manifest, of_shares })
    }

    /// Every file in the folder that this program wrote, but for what a run with other shares may
    /// have begun.
    pub(super) fn ours(&self) -> impl Iterator<Item = PathBuf> + '_ {
        let files = self.manifest.files.keys().chain(&self.manifest.pending).map(PathBuf::from);
        files.chain(self.of_shares.iter().flat_map(Names::paths).cloned())
    }
}

/// A manifest with the times beside it; none where none is there.
fn read_manifest(root: &Path, names: &Names) -> Result<Option<Manifest>, DeliverError> {
    let mut manifest = Manifest::read(&root.join(&names.manifest))?;
    if let Some(manifest) = &mut manifest {
        Times::read(&root.join(&names.times)).complete(manifest);
    }
    Ok(manifest)
}

/// One manifest of several. Where two know a file, the one that wrote it last is right: its
/// entry has the size and time that the file has. Failing that the earlier in the list counts.
fn merge(manifests: Vec<Manifest>, stamp: impl Fn(&str) -> Option<(u64, u64)>) -> Manifest {
    let mut merged = Manifest::new("");
    if let [only] = manifests.as_slice() {
        return only.clone();
    }
    let paths: BTreeSet<&String> =
        manifests.iter().flat_map(|manifest| manifest.files.keys()).collect();
    let mut files: BTreeMap<String, FileEntry> = BTreeMap::new();
    let mut takes: BTreeMap<String, TakeEntry> = BTreeMap::new();
    for path in paths {
        let knows = || manifests.iter().filter(|manifest| manifest.files.contains_key(path));
        let wrote = |manifest: &&Manifest| {
            let entry = &manifest.files[path];
            stamp(path) == Some((entry.size, entry.modified))
        };
        let Some(right) = knows().find(wrote).or_else(|| knows().next()) else { continue };
        let entry = right.files[path].clone();
        if let Some(name) = &entry.take
            && let Some(take) = right.takes.get(name)
        {
            takes.entry(name.clone()).or_insert_with(|| take.clone());
        }
        files.insert(path.clone(), entry);
    }
    let pending = manifests.iter().flat_map(|manifest| &manifest.pending);
    merged.pending = pending.filter(|path| !files.contains_key(*path)).cloned().collect();
    // Takes of which no file is whole yet.
    for (name, take) in manifests.iter().flat_map(|manifest| &manifest.takes) {
        takes.entry(name.clone()).or_insert_with(|| take.clone());
    }
    merged.title = manifests.first().map(|first| first.title.clone()).unwrap_or_default();
    (merged.files, merged.takes) = (files, takes);
    merged
}

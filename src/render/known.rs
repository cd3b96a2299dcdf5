//! What earlier runs left in a folder: the manifest of the set, and those of shares that nobody
//! has collected yet.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::deliver::{
    DeliverError, FileEntry, Folder, Journal, Manifest, OwnFile, Shard, TakeEntry, Times,
};

use super::MANIFEST;

/// Where a run writes down what it has made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Names {
    /// The manifest, in the set's folder.
    pub(super) manifest: PathBuf,
    /// The times beside it; hidden, since they concern this copy of the set alone.
    pub(super) times: PathBuf,
    /// What was made since the manifest was written.
    pub(super) journal: PathBuf,
}

impl Names {
    /// Of the whole set, or of a share of it.
    pub(super) fn of(shard: Option<Shard>) -> Names {
        let share = shard.map(|shard| format!(".{shard}")).unwrap_or_default();
        let name = |first: &str| PathBuf::from(format!("{first}{share}.json"));
        Names {
            manifest: shard.map_or(MANIFEST.into(), |_| name("manifest")),
            times: name(".countoff.times"),
            journal: name(".countoff.made"),
        }
    }

    /// Of all shares that have left a manifest in a folder, in order.
    fn of_shares(root: &Path) -> Vec<Names> {
        let Ok(entries) = std::fs::read_dir(root) else { return Vec::new() };
        let shard = |name: String| {
            name.strip_prefix("manifest.")?.strip_suffix(".json").and_then(Shard::of_file_name)
        };
        let mut shards: Vec<Shard> = entries
            .filter_map(|entry| shard(entry.ok()?.file_name().to_string_lossy().into_owned()))
            .collect();
        shards.sort_unstable();
        shards.into_iter().map(|shard| Names::of(Some(shard))).collect()
    }

    pub(super) fn paths(&self) -> [&PathBuf; 3] {
        [&self.manifest, &self.times, &self.journal]
    }
}

/// All that is known of a folder before a run.
#[derive(Debug)]
pub(super) struct Known {
    /// Manifests of the whole set and of shares in one, as if one run had made it all.
    pub(super) manifest: Manifest,
    /// What shares wrote down, to be removed once it is in the manifest of the set.
    pub(super) of_shares: Vec<Names>,
    /// Whether some of it stands in a journal only, which a run left that was broken off.
    pub(super) is_from_journal: bool,
}

impl Known {
    /// Reads it all. A folder in which nothing was made yet gives an empty manifest.
    pub(super) fn read(root: &Path) -> Result<Known, DeliverError> {
        let folder = Folder::open(root, [])?;
        let of_shares = Names::of_shares(root);
        let mut manifests = Vec::new();
        let mut is_from_journal = false;
        for names in of_shares.iter().chain([&Names::of(None)]) {
            let Some(mut manifest) = read_manifest(root, names)? else { continue };
            for (path, entry) in Journal::read(&root.join(&names.journal)) {
                is_from_journal = true;
                // It was noted before it got its name, and may have been changed since.
                if is_as_made(&folder, &path, &entry) {
                    manifest.pending.remove(&path);
                    manifest.files.insert(path, entry);
                }
            }
            manifests.push(manifest);
        }
        let manifest = merge(manifests, |path, entry| is_as_made(&folder, path, entry));
        Ok(Known { manifest, of_shares, is_from_journal })
    }

    /// Every file in the folder that this program wrote, and how each is known.
    pub(super) fn own_files(&self) -> impl Iterator<Item = (PathBuf, OwnFile)> + '_ {
        let files = self.manifest.files.iter();
        let files = files.map(|(path, entry)| (path.into(), OwnFile::Content(entry.hash.clone())));
        let of_shares = self.of_shares.iter().flat_map(Names::paths);
        files.chain(of_shares.map(|path| (path.clone(), OwnFile::Record)))
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

/// Whether a file is as an entry has it: by size and time, or by its content.
fn is_as_made(folder: &Folder, path: &str, entry: &FileEntry) -> bool {
    let path = Path::new(path);
    match folder.stamp(path) {
        Some(stamp) if stamp == (entry.size, entry.modified) => true,
        Some((size, _)) if size == entry.size => folder.hash(path).as_ref() == Some(&entry.hash),
        _ => false,
    }
}

/// One manifest of several. Where two know a file, the one that wrote it last is right: the file is
/// as its entry has it. Failing that the earlier in the list counts.
fn merge(manifests: Vec<Manifest>, is_as_made: impl Fn(&str, &FileEntry) -> bool) -> Manifest {
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
        let is_right = |manifest: &&Manifest| is_as_made(path, &manifest.files[path]);
        let is_known_once = knows().nth(1).is_none();
        let right = if is_known_once { None } else { knows().find(is_right) };
        let Some(right) = right.or_else(|| knows().next()) else { continue };
        let entry = right.files[path].clone();
        if right.pending.contains(path) {
            merged.pending.insert(path.clone());
        }
        if let Some(name) = &entry.take
            && let Some(take) = right.takes.get(name)
        {
            takes.entry(name.clone()).or_insert_with(|| take.clone());
        }
        files.insert(path.clone(), entry);
    }
    let pending = manifests.iter().flat_map(|manifest| &manifest.pending);
    merged.pending.extend(pending.filter(|path| !files.contains_key(*path)).cloned());
    // Takes of which no file is whole yet.
    for (name, take) in manifests.iter().flat_map(|manifest| &manifest.takes) {
        takes.entry(name.clone()).or_insert_with(|| take.clone());
    }
    merged.title = manifests.first().map(|first| first.title.clone()).unwrap_or_default();
    (merged.files, merged.takes) = (files, takes);
    merged
}

//! Reuse: what was measured or drawn before is taken from the cache, where everything it depends on is the same.
//!
//! An entry is named by a hash of all it depends on (module `keys`), holds a hash of its own bytes, and never
//! changes: one that is broken, cut short or of another shape is a miss. Nothing in an output tells whether it
//! was measured or reused.

pub mod folder;
pub mod keys;

use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use archive::sha256;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::disk;
pub use keys::Key;

/// The cache holds at most so many bytes; what was used longest ago goes first.
const MOST_BYTES: u64 = 1 << 30;
/// No entry is longer.
const MOST_ENTRY: u64 = 256 << 20;
/// Bytes of the hash before an entry's content.
const HASH: usize = 32;

/// The cache of a run; without a folder it holds nothing.
#[derive(Default)]
pub struct Store {
    folder: Option<PathBuf>,
    grown: AtomicBool,
    fault: Mutex<Option<String>>,
}

impl Store {
    /// A cache that holds nothing.
    pub fn none() -> Store {
        Store::default()
    }

    /// The cache in a folder.
    pub fn within(folder: PathBuf) -> Store {
        Store {
            folder: Some(folder),
            ..Store::default()
        }
    }

    /// Whether anything is kept.
    pub fn is_kept(&self) -> bool {
        self.folder.is_some()
    }

    fn path(&self, key: &Key) -> Option<PathBuf> {
        let name = key.name();
        let (shelf, rest) = name.split_at(2);
        Some(self.folder.as_ref()?.join(shelf).join(rest))
    }

    /// What was stored under a key; `None` where there is nothing that can be used.
    pub fn get<T: DeserializeOwned>(&self, key: &Key) -> Option<T> {
        let path = self.path(key)?;
        let bytes = disk::read(&path, MOST_ENTRY).ok()?;
        let (hash, content) = bytes.split_at_checked(HASH)?;
        if sha256(content).0 != hash {
            return None;
        }
        let value = postcard::from_bytes(content).ok()?;
        disk::mark_used(&path);
        Some(value)
    }

    /// Stores a value under a key. What the disk refuses is told at the end; the check goes on without.
    pub fn put<T: Serialize>(&self, key: &Key, value: &T) {
        let Some(path) = self.path(key) else {
            return;
        };
        let stored = postcard::to_stdvec(value)
            .map_err(|e| e.to_string())
            .and_then(|content| {
                let mut bytes = sha256(&content).0.to_vec();
                bytes.extend(content);
                // What could not be read again is not worth keeping.
                if bytes.len() as u64 > MOST_ENTRY {
                    return Ok(());
                }
                disk::write(&path, &bytes).map_err(|e| e.to_string())
            });
        match stored {
            Ok(()) => self.grown.store(true, Ordering::Relaxed),
            Err(words) => self.tell(words),
        }
    }

    fn tell(&self, words: String) {
        if let Ok(mut fault) = self.fault.lock() {
            fault.get_or_insert(words);
        }
    }

    /// The value under a key, else what `make` gives, which is stored where it is `Some`.
    pub fn or<T: Serialize + DeserializeOwned>(
        &self,
        key: Option<&Key>,
        make: impl FnOnce() -> Option<T>,
    ) -> Option<T> {
        if let Some(known) = key.and_then(|key| self.get(key)) {
            return Some(known);
        }
        let made = make()?;
        if let Some(key) = key {
            self.put(key, &made);
        }
        Some(made)
    }

    /// Ends a run: keeps the cache within its bounds. The first thing that the disk refused, in words.
    pub fn end(&self) -> Option<String> {
        if let Some(folder) = &self.folder
            && self.grown.load(Ordering::Relaxed)
            && let Err(e) = disk::keep_within(folder, MOST_BYTES)
        {
            self.tell(e.to_string());
        }
        let fault = self.fault.lock().ok()?.take()?;
        Some(format!(
            "the cache takes nothing more: {fault}; the next run measures again \
             (KITPROOF_CACHE names another folder, --no-cache does without)"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(of: &str) -> Key {
        Key::of("test").and(of.as_bytes())
    }

    #[test]
    fn an_entry_comes_back_and_a_broken_one_is_a_miss() {
        let folder = tempfile::tempdir().expect("a folder");
        let store = Store::within(folder.path().to_path_buf());
        let value = vec![1.5f64, f64::INFINITY, -0.0];
        assert_eq!(store.get::<Vec<f64>>(&key("a")), None);
        store.put(&key("a"), &value);
        assert_eq!(store.get::<Vec<f64>>(&key("a")), Some(value.clone()));
        assert_eq!(store.get::<Vec<f64>>(&key("b")), None);
        let path = store.path(&key("a")).expect("a path");
        let whole = disk::read(&path, 1 << 20).expect("the entry");
        for cut in [0, 1, HASH, whole.len() - 1] {
            disk::write(&path, &whole[..cut]).expect("cut");
            assert_eq!(store.get::<Vec<f64>>(&key("a")), None, "cut to {cut}");
        }
        for at in [0, HASH, whole.len() - 1] {
            let mut turned = whole.clone();
            turned[at] ^= 1;
            disk::write(&path, &turned).expect("turned");
            assert_eq!(store.get::<Vec<f64>>(&key("a")), None, "byte {at}");
        }
        store.put(&key("a"), &value);
        assert_eq!(store.get::<Vec<f64>>(&key("a")), Some(value));
        assert_eq!(store.end(), None);
    }

    #[test]
    fn what_the_disk_refuses_is_told_once_and_ends_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("file");
        disk::write(&file, b"x").expect("written");
        let store = Store::within(file.join("cache"));
        store.put(&key("a"), &1u32);
        store.put(&key("b"), &1u32);
        let words = store.end().expect("words");
        assert!(words.contains("--no-cache"), "{words}");
        assert_eq!(store.end(), None);
    }

    #[test]
    fn without_a_folder_nothing_is_kept() {
        let store = Store::none();
        store.put(&key("a"), &1u32);
        assert_eq!(store.get::<u32>(&key("a")), None);
        assert_eq!(store.or(Some(&key("a")), || Some(2u32)), Some(2));
    }

    #[test]
    fn what_was_used_longest_ago_goes_first() {
        let folder = tempfile::tempdir().expect("a folder");
        let name = |c: char| c.to_string().repeat(62);
        for (c, age) in [('a', 30), ('b', 20), ('c', 10)] {
            let path = folder.path().join("00").join(name(c));
            disk::write(&path, &[0; 1000]).expect("written");
            let then = std::time::SystemTime::now() - std::time::Duration::from_secs(age);
            std::fs::File::options()
                .append(true)
                .open(&path)
                .and_then(|f| f.set_modified(then))
                .expect("aged");
        }
        // A file that is not ours neither counts nor goes.
        disk::write(&folder.path().join("00/photo.jpg"), &[0; 9000]).expect("written");
        disk::mark_used(&folder.path().join("00").join(name('a')));
        disk::keep_within(folder.path(), 2200).expect("kept");
        let left = disk::files_below(folder.path(), &[]).expect("listed");
        let entry = |c| format!("00/{}", name(c));
        assert_eq!(left, [entry('a'), entry('c'), "00/photo.jpg".into()]);
    }
}

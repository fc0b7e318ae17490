//! Where the cache lies.

use std::path::{Path, PathBuf};

/// The folder of the cache by an environment: `KITPROOF_CACHE`, else the folder that the system keeps for a user's
/// caches (XDG Base Directory Specification 0.8 on Unix; its counterparts on macOS and Windows). `None` where the
/// environment names none.
pub fn by(environment: impl Fn(&str) -> Option<PathBuf>) -> Option<PathBuf> {
    let set = |name| environment(name).filter(|path| !path.as_os_str().is_empty());
    // Always a folder of our own in it: what lies beside it belongs to somebody else.
    if let Some(asked) = set("KITPROOF_CACHE") {
        return Some(asked.join("kitproof"));
    }
    // A relative path there is to be passed over, says the specification.
    let absolute = |name| set(name).filter(|path| path.is_absolute());
    absolute("XDG_CACHE_HOME")
        .or_else(|| set("LOCALAPPDATA").filter(|_| cfg!(windows)))
        .or_else(|| {
            let caches = if cfg!(target_os = "macos") {
                Path::new("Library/Caches")
            } else {
                Path::new(".cache")
            };
            Some(absolute("HOME")?.join(caches))
        })
        .map(|caches| caches.join("kitproof"))
}

/// The folder of the cache by this process's environment.
pub fn of_this_process() -> Option<PathBuf> {
    by(|name| std::env::var_os(name).map(PathBuf::from))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(target_os = "linux")]
    #[test]
    fn the_variables_in_their_order() {
        let with = |set: &[(&str, &str)]| {
            let found = by(|name| {
                let value = set.iter().find(|(key, _)| *key == name)?.1;
                Some(PathBuf::from(value))
            });
            found.map(|path| path.to_string_lossy().into_owned())
        };
        let home = ("HOME", "/home/a");
        assert_eq!(with(&[]), None);
        assert_eq!(with(&[home]).as_deref(), Some("/home/a/.cache/kitproof"));
        assert_eq!(
            with(&[home, ("XDG_CACHE_HOME", "/var/c")]).as_deref(),
            Some("/var/c/kitproof")
        );
        assert_eq!(
            with(&[home, ("XDG_CACHE_HOME", "not/absolute")]).as_deref(),
            Some("/home/a/.cache/kitproof")
        );
        assert_eq!(
            with(&[home, ("KITPROOF_CACHE", "here")]).as_deref(),
            Some("here/kitproof")
        );
        assert_eq!(with(&[("KITPROOF_CACHE", "")]), None);
    }
}

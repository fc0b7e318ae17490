//! The only module that reads and writes files. Writes are atomic: a file stands under its final name whole,
//! or not at all.

use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use thiserror::Error;

/// Something the disk refused.
#[derive(Debug, Error)]
#[error("{}: {doing}: {cause}", path.display())]
pub struct DiskFault {
    /// The file or folder.
    pub path: PathBuf,
    /// What was being done: "cannot be read".
    pub doing: &'static str,
    /// The operating system's words.
    pub cause: io::Error,
}

/// How names of temporary files begin.
const TEMPORARY: &str = ".kitproof-";

fn fault(path: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> DiskFault {
    let path = path.to_path_buf();
    move |cause| DiskFault { path, doing, cause }
}

/// Why a file named by a kit could not be had: these are the kit's faults, not the machine's.
#[derive(Debug)]
pub enum Unreadable {
    /// No file of that name.
    Missing,
    /// A folder, a pipe or a device.
    NotAFile,
    /// The file leaves the kit's folder through a link.
    Outside,
    /// No permission.
    Denied,
    /// More bytes than are taken.
    TooLarge {
        /// Bytes of the file.
        bytes: u64,
        /// Bytes taken at most.
        most: u64,
    },
    /// Anything else the operating system says.
    Other(io::Error),
}

/// Reads a file that lies within `root`, at most `most` bytes of it. Links are followed, but not out of `root`.
///
/// # Errors
/// [`Unreadable`] with the reason.
pub fn read_within(root: &Path, relative: &str, most: u64) -> Result<Vec<u8>, Unreadable> {
    let path = root.join(relative);
    let sort = |e: io::Error| match e.kind() {
        io::ErrorKind::NotFound => Unreadable::Missing,
        io::ErrorKind::NotADirectory => Unreadable::Missing,
        io::ErrorKind::PermissionDenied => Unreadable::Denied,
        _ => Unreadable::Other(e),
    };
    let real = path.canonicalize().map_err(sort)?;
    let real_root = root.canonicalize().map_err(sort)?;
    if !real.starts_with(&real_root) {
        return Err(Unreadable::Outside);
    }
    let about = fs::metadata(&real).map_err(sort)?;
    if !about.is_file() {
        return Err(Unreadable::NotAFile);
    }
    if about.len() > most {
        return Err(Unreadable::TooLarge {
            bytes: about.len(),
            most,
        });
    }
    let file = fs::File::open(&real).map_err(sort)?;
    let mut bytes = Vec::with_capacity(about.len() as usize + 1);
    // A file may grow while it is read: the bound holds all the same.
    file.take(most + 1).read_to_end(&mut bytes).map_err(sort)?;
    if bytes.len() as u64 > most {
        return Err(Unreadable::TooLarge {
            bytes: bytes.len() as u64,
            most,
        });
    }
    Ok(bytes)
}

/// Reads a whole file.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, DiskFault> {
    let refuse = |doing| fault(path, doing);
    let about = fs::metadata(path).map_err(refuse("cannot be read"))?;
    if about.is_dir() {
        return Err(refuse("cannot be read")(io::Error::other(
            "it is a folder, not a file",
        )));
    }
    let file = fs::File::open(path).map_err(refuse("cannot be read"))?;
    let mut bytes = Vec::new();
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(refuse("cannot be read"))?;
    if bytes.len() as u64 > most {
        return Err(refuse("cannot be read")(io::Error::other(format!(
            "more than {most} bytes"
        ))));
    }
    Ok(bytes)
}

/// Writes `bytes` to `path` through a temporary file beside it, so that no half-written file ever stands
/// under the final name, whatever ends the program. Folders on the way are made.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), DiskFault> {
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(fault(folder, "cannot be made"))?;
    // A device or pipe cannot be replaced by a file of the same name: it is written to directly.
    if fs::metadata(path).is_ok_and(|m| !m.is_file() && !m.is_dir()) {
        return fs::OpenOptions::new()
            .write(true)
            .open(path)
            .and_then(|mut f| f.write_all(bytes).and_then(|()| f.flush()))
            .map_err(fault(path, "cannot be written"));
    }
    let mut temporary = tempfile::Builder::new()
        .prefix(TEMPORARY)
        .tempfile_in(folder)
        .map_err(fault(path, "cannot be written"))?;
    temporary
        .write_all(bytes)
        .and_then(|()| temporary.flush())
        .map_err(fault(path, "cannot be written"))?;
    open_to_readers(temporary.path()).map_err(fault(path, "cannot be written"))?;
    temporary
        .persist(path)
        .map_err(|e| fault(path, "cannot be written")(e.error))?;
    Ok(())
}

/// A temporary file is private to its owner; an output is not.
#[cfg(unix)]
fn open_to_readers(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_readers(_: &Path) -> io::Result<()> {
    Ok(())
}

/// Whether a file, folder or link of that name stands on the disk.
pub fn exists(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// Bytes of a file; 0 where there is none yet.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn length(path: &Path) -> Result<u64, DiskFault> {
    match fs::metadata(path) {
        Ok(about) => Ok(about.len()),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(0),
        Err(e) => Err(fault(path, "cannot be read")(e)),
    }
}

/// Adds bytes to the end of a file that belongs to somebody else; it is made where there is none.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn append(path: &Path, bytes: &[u8]) -> Result<(), DiskFault> {
    fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(path)
        .and_then(|mut f| f.write_all(bytes).and_then(|()| f.flush()))
        .map_err(fault(path, "cannot be written"))
}

/// Where a folder lies in the repository that holds it: empty or ending with a slash, forward slashes. Empty,
/// too, where no folder above it is a repository, so that outputs do not depend on where a kit lies.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn place_in_repository(folder: &Path) -> Result<String, DiskFault> {
    let real = folder
        .canonicalize()
        .map_err(fault(folder, "cannot be found"))?;
    let Some(root) = real.ancestors().find(|a| exists(&a.join(".git"))) else {
        return Ok(String::new());
    };
    let below = real.strip_prefix(root).unwrap_or(Path::new(""));
    Ok(below
        .components()
        .map(|c| format!("{}/", c.as_os_str().to_string_lossy()))
        .collect())
}

/// Says of a file that it was used now. What the disk refuses only makes it look older.
pub fn mark_used(path: &Path) {
    let now = std::time::SystemTime::now();
    let _refused = fs::File::options()
        .append(true)
        .open(path)
        .and_then(|file| file.set_modified(now));
}

/// Whether a file is named as an entry of the cache is (62 hexadecimal digits), or as a temporary file of ours.
fn is_ours(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let entry = name.len() == 62 && name.bytes().all(|b| b.is_ascii_hexdigit());
    entry || name.starts_with(TEMPORARY)
}

/// Keeps the cache's files below a folder within so many bytes: those used longest ago go first. Another run
/// may do the same at the same time: a file that is gone already is no fault.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn keep_within(root: &Path, most: u64) -> Result<(), DiskFault> {
    let mut files = Vec::new();
    let mut open = vec![root.to_path_buf()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(&folder).map_err(fault(&folder, "cannot be listed"))? {
            let entry = entry.map_err(fault(&folder, "cannot be listed"))?;
            let Ok(about) = entry.metadata() else {
                continue;
            };
            if about.is_dir() {
                open.push(entry.path());
            } else if about.is_file() && is_ours(&entry.path()) {
                let used = about
                    .modified()
                    .unwrap_or(std::time::SystemTime::UNIX_EPOCH);
                files.push((used, entry.path(), about.len()));
            }
        }
    }
    let mut sum: u64 = files.iter().map(|(_, _, bytes)| bytes).sum();
    files.sort();
    for (_, path, bytes) in files {
        if sum <= most {
            break;
        }
        match fs::remove_file(&path) {
            Ok(()) => {}
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            Err(e) => return Err(fault(&path, "cannot be removed")(e)),
        }
        sum -= bytes;
    }
    Ok(())
}

/// Removes a file of ours, where there is one.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn remove(path: &Path) -> Result<(), DiskFault> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(fault(path, "cannot be removed")(e)),
        _ => Ok(()),
    }
}

/// Whether the path is a folder.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

impl std::fmt::Display for Unreadable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Unreadable::Missing => f.write_str("there is no such file"),
            Unreadable::NotAFile => f.write_str("it is a folder or a device, not a file"),
            Unreadable::Outside => f.write_str("it leads out of the kit's folder"),
            Unreadable::Denied => f.write_str("there is no permission to read it"),
            Unreadable::TooLarge { bytes, most } => {
                write!(f, "it has {bytes} bytes; at most {most} are read")
            }
            Unreadable::Other(e) => write!(f, "it cannot be read: {e}"),
        }
    }
}

/// Whether a file within `root` could be read; its bytes are not.
///
/// # Errors
/// [`Unreadable`] with the reason.
pub fn is_readable(root: &Path, relative: &str) -> Result<(), Unreadable> {
    match read_within(root, relative, 0) {
        Ok(_) | Err(Unreadable::TooLarge { .. }) => fs::File::open(root.join(relative))
            .map(drop)
            .map_err(|e| match e.kind() {
                io::ErrorKind::PermissionDenied => Unreadable::Denied,
                _ => Unreadable::Other(e),
            }),
        Err(why) => Err(why),
    }
}

/// A small text file of the operating system (`/proc/meminfo`); `None` where there is none.
pub fn read_system(path: &str) -> Option<String> {
    fs::read_to_string(path).ok()
}

/// Every file below a folder, relative, with forward slashes, sorted; hidden names and folders named in
/// `skip` are passed over, links are not followed.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn files_below(root: &Path, skip: &[&str]) -> Result<Vec<String>, DiskFault> {
    let mut found = Vec::new();
    let mut open = vec![(root.to_path_buf(), String::new())];
    while let Some((folder, prefix)) = open.pop() {
        for entry in fs::read_dir(&folder).map_err(fault(&folder, "cannot be listed"))? {
            let entry = entry.map_err(fault(&folder, "cannot be listed"))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with('.') || skip.contains(&name.as_str()) {
                continue;
            }
            let relative = format!("{prefix}{name}");
            let kind = entry
                .file_type()
                .map_err(fault(&folder, "cannot be listed"))?;
            if kind.is_dir() {
                open.push((entry.path(), format!("{relative}/")));
            } else if kind.is_file() {
                found.push(relative);
            }
        }
    }
    found.sort();
    Ok(found)
}

/// The folders directly or deeper below `root` that hold a file of that name, sorted.
///
/// # Errors
/// [`DiskFault`] with path and cause.
pub fn folders_holding(root: &Path, name: &str, skip: &[&str]) -> Result<Vec<PathBuf>, DiskFault> {
    Ok(files_below(root, skip)?
        .into_iter()
        .map(PathBuf::from)
        .filter(|p| p.file_name().is_some_and(|n| n == name))
        .filter_map(|p| p.parent().map(|parent| root.join(parent)))
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_can_be_read_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a/b/report.json");
        write(&path, b"one").expect("written");
        write(&path, b"two").expect("written again");
        assert_eq!(read(&path, 100).expect("read"), b"two");
        assert_eq!(
            files_below(folder.path(), &[]).expect("listed"),
            ["a/b/report.json"]
        );
        let hidden = fs::read_dir(folder.path().join("a/b"))
            .expect("listed")
            .count();
        assert_eq!(hidden, 1, "no temporary file is left");
    }

    #[test]
    fn a_file_outside_the_kit_is_refused() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("kit")).expect("made");
        fs::write(folder.path().join("secret"), b"x").expect("written");
        let got = read_within(&folder.path().join("kit"), "../secret", 10);
        assert!(matches!(got, Err(Unreadable::Outside)), "{got:?}");
        assert!(matches!(
            read_within(folder.path(), "secret", 0),
            Err(Unreadable::TooLarge { bytes: 1, most: 0 })
        ));
        assert!(matches!(
            read_within(folder.path(), "kit", 10),
            Err(Unreadable::NotAFile)
        ));
        assert!(matches!(
            read_within(folder.path(), "none", 10),
            Err(Unreadable::Missing)
        ));
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_is_told() {
        let got = write(Path::new("/dev/full"), b"text").expect_err("a full device");
        assert!(got.to_string().starts_with("/dev/full: cannot be written"));
    }
}

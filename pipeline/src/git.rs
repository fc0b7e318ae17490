//! Files as a git commit holds them, through the `git` program. Nothing is fetched, and no filter runs.

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};

use thiserror::Error;

/// Why a file of a commit cannot be had.
#[derive(Debug, Error)]
pub enum GitFault {
    /// The program does not start.
    #[error(
        "tags are read through the program git, which does not start: {0}; install it, or name a folder or a bundle as the base"
    )]
    NoGit(std::io::Error),
    /// The folder is in no repository, or git refuses it.
    #[error(
        "{name}: no such file or folder, and no tag either, since {folder} is in no repository that git can read: {words}"
    )]
    NoRepository {
        /// The name as given.
        name: String,
        /// The kit's folder.
        folder: String,
        /// What git said.
        words: String,
    },
    /// The clone is shallow and does not hold the commit.
    #[error(
        "{name} is not in this clone, which is shallow; fetch it first:\n  git fetch --depth 1 origin tag {name}\n(in a workflow: `fetch-depth: 0` at the step that checks out)"
    )]
    Shallow {
        /// The name as given.
        name: String,
    },
    /// No such tag or commit.
    #[error("{name}: no file, folder, tag or commit of that name{known}")]
    Unknown {
        /// The name as given.
        name: String,
        /// The tags there are, in words.
        known: String,
    },
    /// A file that the commit does not hold.
    #[error("{name} holds no {path} at the place of this kit")]
    NoFile {
        /// The commit as named.
        name: String,
        /// The path.
        path: String,
    },
    /// A file larger than is read.
    #[error("{path} of {name} has more than {most} bytes")]
    TooLarge {
        /// The commit as named.
        name: String,
        /// The path.
        path: String,
        /// Bytes read at most.
        most: u64,
    },
}

/// A commit of the repository that a folder lies in.
pub struct Commit<'a> {
    folder: &'a Path,
    name: &'a str,
}

/// Tags named in a fault, at most.
const TAGS_NAMED: usize = 6;

fn git(folder: &Path) -> Command {
    let mut git = Command::new("git");
    git.arg("-C").arg(folder);
    git.env("GIT_TERMINAL_PROMPT", "0")
        .env("GIT_NO_LAZY_FETCH", "1")
        .env("LC_ALL", "C")
        .stdin(Stdio::null());
    git
}

/// What git prints on success, and its complaint otherwise.
fn said(folder: &Path, arguments: &[&str]) -> Result<Result<String, String>, GitFault> {
    let output = git(folder)
        .args(arguments)
        .output()
        .map_err(GitFault::NoGit)?;
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).trim().to_string();
    Ok(if output.status.success() {
        Ok(text(&output.stdout))
    } else {
        Err(text(&output.stderr))
    })
}

impl<'a> Commit<'a> {
    /// The commit that a tag, branch or hash names.
    ///
    /// # Errors
    /// [`GitFault`]; a shallow clone gets the command that mends it.
    pub fn named(folder: &'a Path, name: &'a str) -> Result<Commit<'a>, GitFault> {
        if let Err(words) = said(folder, &["rev-parse", "--git-dir"])? {
            return Err(GitFault::NoRepository {
                name: name.to_string(),
                folder: folder.display().to_string(),
                words,
            });
        }
        let wanted = format!("{name}^{{commit}}");
        let found = said(
            folder,
            &[
                "rev-parse",
                "--verify",
                "--quiet",
                "--end-of-options",
                &wanted,
            ],
        )?;
        if found.is_ok() {
            return Ok(Commit { folder, name });
        }
        if said(folder, &["rev-parse", "--is-shallow-repository"])?.as_deref() == Ok("true") {
            return Err(GitFault::Shallow { name: name.into() });
        }
        let tags = said(folder, &["tag", "--list", "--sort=-creatordate"])?.unwrap_or_default();
        let tags: Vec<&str> = tags.lines().take(TAGS_NAMED).collect();
        Err(GitFault::Unknown {
            name: name.into(),
            known: if tags.is_empty() {
                "; this repository has no tags".into()
            } else {
                format!("; the latest tags are {}", tags.join(", "))
            },
        })
    }

    /// The bytes of a file, by its path from the kit's folder.
    ///
    /// # Errors
    /// [`GitFault`].
    pub fn file(&self, path: &str, most: u64) -> Result<Vec<u8>, GitFault> {
        let wanted = format!("{}:./{path}", self.name);
        let mut child = git(self.folder)
            .args(["cat-file", "blob", &wanted])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(GitFault::NoGit)?;
        let mut bytes = Vec::new();
        let read = child
            .stdout
            .take()
            .map(|out| out.take(most + 1).read_to_end(&mut bytes));
        if bytes.len() as u64 > most {
            // The program may still be writing: what it writes is not wanted.
            child.kill().map_err(GitFault::NoGit)?;
            child.wait().map_err(GitFault::NoGit)?;
            return Err(GitFault::TooLarge {
                name: self.name.into(),
                path: path.into(),
                most,
            });
        }
        let ended = child.wait().map_err(GitFault::NoGit)?;
        match read {
            Some(Ok(_)) if ended.success() => Ok(bytes),
            Some(Err(e)) => Err(GitFault::NoGit(e)),
            _ => Err(GitFault::NoFile {
                name: self.name.into(),
                path: path.into(),
            }),
        }
    }
}

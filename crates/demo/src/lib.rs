//! Generates everything under kits/: the demo kit, the smallest kits that raise each rule, and a chain of
//! revisions of one kit.
//!
//! All of it is invented. The room must not know the rules, the limits or the disk: it returns paths and
//! bytes, the same on every run; the small program `make-kits` writes them.

mod faulty;
pub mod light;
pub mod outline;
mod proof;
mod revisions;
pub mod solid;
pub mod surface;
pub mod write;

/// A file of a kit: its path under kits/, with forward slashes, and its bytes.
pub type KitFile = (String, Vec<u8>);

/// Why a kit could not be generated.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// A step of building a body failed.
    #[error("part {part}: {fault}")]
    Build {
        /// The part.
        part: String,
        /// The step and its fault.
        fault: String,
    },
    /// A finished surface is no sound solid.
    #[error("part {part} is unsound: {fault}")]
    Unsound {
        /// The part.
        part: String,
        /// What is wrong and where.
        fault: String,
    },
}

/// Every file under kits/, sorted by path.
///
/// # Errors
/// [`DemoError`] for the first part that could not be built as a sound solid.
pub fn all() -> Result<Vec<KitFile>, DemoError> {
    let mut files = light::files()?;
    files.extend(faulty::files());
    files.extend(revisions::files()?);
    files.sort();
    Ok(files)
}

/// SHA-256 of some bytes, as 64 hexadecimal digits.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    use sha2::Digest as _;
    let digest = sha2::Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

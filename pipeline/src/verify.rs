//! `verify`: a received bundle, by itself: every file, every header; unpacked where that is asked for.

use std::path::Path;

use crate::args::VerifyArgs;
use crate::disk;
use crate::outcome::Outcome;
use crate::say::Said;

/// A bundle is read whole; more bytes than this are no bundle of ours.
const MOST_BYTES: u64 = 4 << 30;

/// Checks a bundle and says what does not hold.
pub fn run(args: &VerifyArgs, said: &mut dyn Said) -> Outcome {
    let bytes = match disk::read(&args.bundle, MOST_BYTES) {
        Ok(bytes) => bytes,
        Err(e) => {
            said.fault(&e.to_string());
            return Outcome::BadRequest;
        }
    };
    match archive::verify(&bytes) {
        Ok(entries) => {
            for entry in &entries {
                said.data(&format!("ok  {}", entry.name));
            }
            said.data(&format!(
                "{}: {} files, all as released",
                args.bundle.display(),
                entries.len()
            ));
            match &args.unpack {
                Some(folder) => unpack(&bytes, folder, said),
                None => Outcome::Ready,
            }
        }
        Err(faults) => {
            for fault in &faults {
                said.fault(&format!("{}: {fault}", args.bundle.display()));
            }
            said.data(&format!(
                "{}: NOT as released: {} {}; get the bundle again from its designer",
                args.bundle.display(),
                faults.len(),
                if faults.len() == 1 { "fault" } else { "faults" }
            ));
            Outcome::Blocked
        }
    }
}

/// Writes the files of a bundle that was found whole. Its names lead nowhere else: that was checked too.
fn unpack(bundle: &[u8], folder: &Path, said: &mut dyn Said) -> Outcome {
    let files = match archive::unpack(bundle) {
        Ok(files) => files,
        Err(faults) => {
            for fault in &faults {
                said.fault(&fault.to_string());
            }
            return Outcome::Blocked;
        }
    };
    for (name, bytes) in &files {
        if let Err(e) = disk::write(&folder.join(name), bytes) {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
    }
    said.data(&format!(
        "{} files are in {}",
        files.len(),
        folder.display()
    ));
    Outcome::Ready
}

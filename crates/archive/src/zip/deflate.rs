//! Deflate (RFC 1951), packing and bounded unpacking.
//!
//! `miniz_oxide` is called directly and not through a front that lets another crate of the build swap the
//! implementation by a feature: packed bytes must not depend on what else is compiled in, and its code is
//! scalar, so they do not depend on the processor either. Its version is pinned by the lock file. Nobody who
//! checks a bundle needs the same packer: the seal holds the packed bytes themselves.

use miniz_oxide::deflate::core::{CompressorOxide, TDEFLFlush, TDEFLStatus, compress_to_output};
use miniz_oxide::inflate::stream::{InflateState, inflate};
use miniz_oxide::{DataFormat, MZError, MZFlush, MZStatus};

/// The one level. On a part of 20,000 triangles as STL and as 3MF text it takes 60 ms where level 6 takes
/// 130 ms and level 9 340 ms, for 1 % more bytes.
pub const LEVEL: u8 = 4;

/// Why a packed stream does not unpack to what its header says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum UnpackFault {
    /// The bits are no deflate stream.
    #[error("the packed data is damaged: it is no deflate stream")]
    Damaged,
    /// The stream wants more bytes than there are.
    #[error("the packed data is cut off")]
    Cut,
    /// The stream ends before its bytes do.
    #[error("{0} bytes stand behind the end of the packed data")]
    Slack(usize),
    /// More comes out than the header says.
    #[error("it unpacks to more than the {0} bytes its header says")]
    TooLong(u64),
    /// Less comes out than the header says.
    #[error("it unpacks to {found} bytes, and its header says {said}")]
    TooShort {
        /// Bytes that the header says.
        said: u64,
        /// Bytes that came out.
        found: u64,
    },
}

/// Packs some bytes as a raw deflate stream: the same bytes on every run and machine.
pub fn pack(bytes: &[u8]) -> Vec<u8> {
    let mut packer = CompressorOxide::default();
    packer.set_format_and_level(DataFormat::Raw, LEVEL);
    let mut packed = Vec::with_capacity(bytes.len() / 3 + 64);
    let (status, taken) = compress_to_output(&mut packer, bytes, TDEFLFlush::Finish, |piece| {
        packed.extend_from_slice(piece);
        true
    });
    debug_assert_eq!((status, taken), (TDEFLStatus::Done, bytes.len()));
    packed
}

/// Unpacks a raw deflate stream piece by piece into `take`, in constant memory, and stops as soon as more
/// than `said` bytes come out.
///
/// # Errors
/// [`UnpackFault`]; pieces may have been taken before.
pub fn unpack(packed: &[u8], said: u64, mut take: impl FnMut(&[u8])) -> Result<(), UnpackFault> {
    let mut state = InflateState::new_boxed(DataFormat::Raw);
    let mut window = vec![0u8; 64 << 10];
    let (mut rest, mut found) = (packed, 0u64);
    loop {
        let step = inflate(&mut state, rest, &mut window, MZFlush::None);
        rest = &rest[step.bytes_consumed..];
        found += step.bytes_written as u64;
        if found > said {
            return Err(UnpackFault::TooLong(said));
        }
        take(&window[..step.bytes_written]);
        match step.status {
            Ok(MZStatus::StreamEnd) => break,
            Ok(_) if step.bytes_consumed == 0 && step.bytes_written == 0 => {
                return Err(UnpackFault::Cut);
            }
            Ok(_) => {}
            Err(MZError::Buf) => return Err(UnpackFault::Cut),
            Err(_) => return Err(UnpackFault::Damaged),
        }
    }
    if !rest.is_empty() {
        return Err(UnpackFault::Slack(rest.len()));
    }
    if found != said {
        return Err(UnpackFault::TooShort { said, found });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Vec<u8> {
        (0..200_000u32)
            .flat_map(|i| (i.wrapping_mul(i) / 977).to_le_bytes())
            .collect()
    }

    #[test]
    fn what_is_packed_comes_back() {
        for bytes in [Vec::new(), b"a".to_vec(), vec![0; 1 << 20], sample()] {
            let packed = pack(&bytes);
            let mut back = Vec::new();
            unpack(&packed, bytes.len() as u64, |p| back.extend_from_slice(p)).expect("sound");
            assert_eq!(back, bytes);
        }
    }

    #[test]
    fn a_wrong_length_is_named_and_growth_is_bounded() {
        let packed = pack(&vec![0u8; 16 << 20]);
        let mut taken = 0;
        let got = unpack(&packed, 1000, |p| taken += p.len());
        assert_eq!(got, Err(UnpackFault::TooLong(1000)));
        assert!(taken <= 1000);
        assert_eq!(
            unpack(&pack(b"abc"), 4, |_| {}),
            Err(UnpackFault::TooShort { said: 4, found: 3 })
        );
    }

    #[test]
    fn slack_cuts_and_damage_are_told_apart() {
        let bytes = sample();
        let packed = pack(&bytes);
        let said = bytes.len() as u64;
        let longer = [&packed[..], &[0, 0]].concat();
        assert_eq!(unpack(&longer, said, |_| {}), Err(UnpackFault::Slack(2)));
        let cut = &packed[..packed.len() - 9];
        assert_eq!(unpack(cut, said, |_| {}), Err(UnpackFault::Cut));
        assert_eq!(unpack(&[], said, |_| {}), Err(UnpackFault::Cut));
        // Block type 3 is reserved (RFC 1951, 3.2.3).
        assert_eq!(unpack(&[0b111], 0, |_| {}), Err(UnpackFault::Damaged));
    }
}

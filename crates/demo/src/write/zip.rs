//! A zip archive whose members are stored, not compressed; fixed date (1 January 1980), so bytes never change.
//! Follows the public ZIP application note (local headers, central directory, end record).

/// The archive of named members, in the given order.
pub fn stored_zip(members: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut directory = Vec::new();
    for (name, data) in members {
        let offset = bytes.len() as u32;
        // What the local and the central header share: version, flags, method, time, date, sum, sizes, lengths.
        let mut shared = Vec::new();
        for half in [20u16, 0, 0, 0, 0x21] {
            shared.extend(half.to_le_bytes());
        }
        for word in [crc32(data), data.len() as u32, data.len() as u32] {
            shared.extend(word.to_le_bytes());
        }
        shared.extend((name.len() as u16).to_le_bytes());
        shared.extend(0u16.to_le_bytes());

        bytes.extend(b"PK\x03\x04");
        bytes.extend(&shared);
        bytes.extend(name.as_bytes());
        bytes.extend(data);

        directory.extend(b"PK\x01\x02");
        directory.extend(20u16.to_le_bytes());
        directory.extend(&shared);
        directory.extend([0u8; 10]);
        directory.extend(offset.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let start = bytes.len() as u32;
    let count = members.len() as u16;
    bytes.extend(&directory);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    bytes.extend(count.to_le_bytes());
    bytes.extend(count.to_le_bytes());
    bytes.extend((directory.len() as u32).to_le_bytes());
    bytes.extend(start.to_le_bytes());
    bytes.extend(0u16.to_le_bytes());
    bytes
}

/// CRC-32 as in ISO 3309 and ITU-T V.42, bit by bit.
fn crc32(data: &[u8]) -> u32 {
    !data.iter().fold(!0u32, |mut crc, &byte| {
        crc ^= u32::from(byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg());
        }
        crc
    })
}

#[cfg(test)]
mod tests {
    use super::crc32;

    /// The check value that the catalogue of parametrised CRC algorithms lists for CRC-32/ISO-HDLC
    /// (from memory): CRC of "123456789" is CBF43926.
    #[test]
    fn the_published_check_value() {
        assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
    }
}

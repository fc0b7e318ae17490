//! Binary STL that went through a conversion meant for text: the commonest way a published mesh breaks,
//! since version control and old transfer programs change line ends of files they take for text.

use super::{PREFIX, RECORD, claimed, size_of};
use crate::decode::fault::DecodeFault;

/// U+FFFD in UTF-8: what a text reader writes in place of bytes that are no text.
const REPLACEMENT: &[u8] = &[0xEF, 0xBF, 0xBD];

/// Names the conversion a binary file of the wrong size went through; `None` where nothing tells of one.
pub(super) fn text_conversion(bytes: &[u8]) -> Option<DecodeFault> {
    let evidence = cr_added(bytes)
        .or_else(|| cr_removed(bytes))
        .or_else(|| replaced(bytes))?;
    Some(DecodeFault::TextConversion { evidence })
}

/// Every LF became CR LF: undoing it gives a file of exactly the right size, and no lone LF is left.
fn cr_added(bytes: &[u8]) -> Option<String> {
    let pairs = count(bytes, b"\r\n");
    let line_feeds = bytes.iter().filter(|&&b| b == b'\n').count();
    if pairs == 0 || pairs != line_feeds {
        return None;
    }
    let mut start = Vec::with_capacity(PREFIX);
    let mut at = 0;
    while start.len() < PREFIX && at < bytes.len() {
        at += usize::from(bytes[at..].starts_with(b"\r\n"));
        start.push(bytes[at]);
        at += 1;
    }
    let claimed = claimed(&start)?;
    (size_of(claimed) == (bytes.len() - pairs) as u64).then(|| {
        format!("each of its {pairs} line feed bytes (0A) has a carriage return (0D) put before it")
    })
}

/// Every CR LF became LF: a few bytes are missing and no CR LF is left. The records are shifted, so that the
/// attributes (zero in nearly every file) line up at the start and at the end of the file but not between;
/// in a file that was only cut short they line up from the start throughout.
fn cr_removed(bytes: &[u8]) -> Option<String> {
    let claimed = claimed(bytes)?;
    let missing = usize::try_from(size_of(claimed).checked_sub(bytes.len() as u64)?).ok()?;
    let line_feeds = bytes.iter().filter(|&&b| b == b'\n').count();
    if missing == 0 || missing > line_feeds || count(bytes, b"\r\n") > 0 {
        return None;
    }
    let records = bytes.get(PREFIX..)?;
    let quiet = |record: &[u8]| record.ends_with(&[0, 0]);
    let mut whole = records.chunks_exact(RECORD);
    let first = whole.next()?;
    let shifted = !whole.all(quiet);
    let starts_quiet = quiet(first) || first.contains(&b'\n');
    (starts_quiet && shifted && quiet(bytes)).then(|| {
        format!(
            "{missing} carriage return bytes (0D) that stood before line feed bytes (0A) are gone"
        )
    })
}

/// Read as text and written again: bytes that are no text became a replacement character.
fn replaced(bytes: &[u8]) -> Option<String> {
    let marks = count(bytes, REPLACEMENT);
    (marks >= 8 && marks * 100 > bytes.len()).then(|| {
        format!("{marks} places hold the character that stands for unreadable text (EF BF BD)")
    })
}

fn count(bytes: &[u8], pattern: &[u8]) -> usize {
    bytes
        .windows(pattern.len())
        .filter(|window| *window == pattern)
        .count()
}

//! A finding in words for a log or a list: one fact a line.

use findings::Finding;

use super::most;
use crate::text::{owner, places};
use crate::wrap::cut;

/// The fault in words; the rule's title where the finding has no words of its own.
pub fn fault(f: &Finding) -> &str {
    if f.message.is_empty() {
        rules::find(&f.rule).map_or(f.rule.as_str(), |e| e.rule.title)
    } else {
        &f.message
    }
}

/// The facts of a finding, a line each: the fault, the value, the place, what to do, its waiver.
pub fn lines(f: &Finding) -> Vec<String> {
    let mut out = vec![format!("{}: {}", owner(f), fault(f))];
    if !f.reading.is_empty() {
        out.push(format!("Measured: {}", f.reading));
    }
    if let Some(place) = places(f) {
        out.push(format!("Place: {place}"));
    }
    if let Some(since) = since(f) {
        out.push(format!("Since: {since}"));
    }
    if !f.fix.is_empty() {
        out.push(format!("Do: {}", f.fix));
    }
    if let Some(waived) = &f.waived {
        out.push(format!("Waived {}: {}", waived.until, waived.reason));
    }
    out
}

/// The facts as one text, joined by `between`, at most as long as a message may be.
pub fn text(f: &Finding, between: &str) -> String {
    let most = most(&limits::platform_limits().message_characters);
    cut(&lines(f).join(between), most)
}

/// Since when it is there, in words; `None` without a base.
pub fn since(f: &Finding) -> Option<&str> {
    f.since.as_ref().map(|s| s.words.as_str())
}

/// Whether it came with this revision; never without a base.
pub fn is_new(f: &Finding) -> bool {
    f.since.as_ref().is_some_and(|s| s.new)
}

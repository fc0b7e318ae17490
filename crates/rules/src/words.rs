//! Numbers as the rules write them, so that one value reads the same everywhere.

/// Millimetres with two decimals: "0.31 mm". Values that would read 0.00 get the decimals they need.
pub fn mm(value: f64) -> String {
    if value != 0.0 && value.abs() < SMALLEST_PLAIN_MM {
        format!("{value:.1e} mm")
    } else {
        format!("{value:.2} mm")
    }
}

/// Below this a value with two decimals would read as nothing.
const SMALLEST_PLAIN_MM: f64 = 0.005;

/// A value with at most two decimals, as short as it can be: "12", "0.31".
pub fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// A count with its noun: "1 edge", "12 edges".
pub fn count(n: u64, one: &str, many: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{} {many}", thousands(n))
    }
}

/// An integer in groups of three: "12,345".
pub fn thousands(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// Which of several promises are hit, to be hung on a sentence: ", on 2 of 3 promises"; nothing where a kit has one.
pub fn of_promises(hit: usize, all: usize) -> String {
    if hit == all {
        if all == 1 {
            String::new()
        } else {
            format!(", on all {all} promises")
        }
    } else {
        format!(", on {hit} of {all} promises")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(mm(0.312), "0.31 mm");
        assert_eq!(mm(0.0), "0.00 mm");
        assert_eq!((plain(12.0), plain(0.314)), ("12".into(), "0.31".into()));
        assert_eq!(mm(0.00002), "2.0e-5 mm");
        assert_eq!(count(1, "edge", "edges"), "1 edge");
        assert_eq!(count(12345, "edge", "edges"), "12,345 edges");
        assert_eq!(of_promises(2, 3), ", on 2 of 3 promises");
        assert_eq!(of_promises(1, 1), "");
    }
}

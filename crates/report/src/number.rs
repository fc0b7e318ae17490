//! The one function through which numbers leave.

/// Rounds to `decimals` and drops the sign of a zero, so that the last bits of a sum never reach an output.
/// Anything not finite becomes `None`.
pub fn rounded(value: f64, decimals: i32) -> Option<f64> {
    let scale = 10f64.powi(decimals);
    let r = (value * scale).round() / scale;
    r.is_finite().then_some(if r == 0.0 { 0.0 } else { r })
}

/// Decimals of lengths, areas, volumes and other measures.
pub const DECIMALS: i32 = 4;

/// A measure as it leaves.
pub fn measure(value: f64) -> Option<f64> {
    rounded(value, DECIMALS)
}

/// A point as it leaves; coordinates that are not finite become 0.
pub fn point(p: [f64; 3]) -> [f64; 3] {
    p.map(|x| measure(x).unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_and_signed_zero_do_not_leave() {
        assert_eq!(measure(0.1 + 0.2), Some(0.3));
        assert_eq!(measure(-1e-9).map(f64::to_bits), Some(0.0f64.to_bits()));
        assert_eq!(measure(f64::NAN), None);
    }
}

//! The day a check counts as: `--as-of`, else SOURCE_DATE_EPOCH, else today. It decides which waivers hold
//! and is recorded; no other date enters an output.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The day in force.
///
/// # Errors
/// What is wrong with the flag or the variable, in words.
pub fn of(as_of: Option<&str>, source_date_epoch: Option<&str>) -> Result<Date, String> {
    if let Some(text) = as_of {
        return text
            .parse::<Date>()
            .map_err(|_| format!("--as-of {text}: expected a day such as 2026-05-31"));
    }
    if let Some(text) = source_date_epoch {
        let seconds: i64 = text.trim().parse().map_err(|_| {
            format!("SOURCE_DATE_EPOCH={text}: expected whole seconds since 1970-01-01 UTC")
        })?;
        return Timestamp::from_second(seconds)
            .map(|t| t.to_zoned(TimeZone::UTC).date())
            .map_err(|e| format!("SOURCE_DATE_EPOCH={text}: {e}"));
    }
    Ok(Timestamp::now().to_zoned(TimeZone::UTC).date())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_flag_wins_over_the_variable() {
        let day = of(Some("2026-05-31"), Some("1700000000")).expect("a day");
        assert_eq!(day.to_string(), "2026-05-31");
        // SOURCE_DATE_EPOCH specification 1.1: seconds UTC; 1700000000 is 2023-11-14T22:13:20Z.
        let day = of(None, Some("1700000000")).expect("a day");
        assert_eq!(day.to_string(), "2023-11-14");
    }

    #[test]
    fn a_wrong_day_is_named() {
        assert!(of(Some("31.5.2026"), None).expect_err("refused").contains("31.5.2026"));
        assert!(of(None, Some("soon")).expect_err("refused").contains("SOURCE_DATE_EPOCH"));
    }
}

//! The day a check counts as: `--as-of`, else SOURCE_DATE_EPOCH, else today. It decides which waivers hold
//! and is recorded; no other date enters an output.

use jiff::Timestamp;
use jiff::civil;
use jiff::tz::TimeZone;
use kit::Date;

/// The day in force.
///
/// # Errors
/// What is wrong with the flag or the variable, in words.
pub fn of(as_of: Option<&str>, source_date_epoch: Option<&str>) -> Result<Date, String> {
    if let Some(text) = as_of {
        return flag(text);
    }
    let now = match source_date_epoch {
        Some(text) => Timestamp::from_second(epoch(text)?)
            .map_err(|e| format!("SOURCE_DATE_EPOCH={text}: {e}"))?,
        None => Timestamp::now(),
    };
    let day = now.to_zoned_datetime(TimeZone::UTC).date();
    Date::new(day.year() as u16, day.month() as u8, day.day() as u8)
        .ok_or_else(|| format!("{day}: no day that a manifest could name"))
}

fn flag(text: &str) -> Result<Date, String> {
    Date::parse(text).ok_or_else(|| format!("--as-of {text}: expected a day such as 2026-05-31"))
}

/// SOURCE_DATE_EPOCH in seconds.
///
/// # Errors
/// What is wrong with it, in words.
pub fn epoch(text: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_| {
        format!("SOURCE_DATE_EPOCH={text}: expected whole seconds since 1970-01-01 UTC")
    })
}

/// Seconds since 1970-01-01 UTC at the start of a day given as a flag.
///
/// # Errors
/// What is wrong with the day, in words.
pub fn seconds(as_of: &str) -> Result<i64, String> {
    let day = flag(as_of)?;
    civil::Date::new(day.year as i16, day.month as i8, day.day as i8)
        .and_then(|d| d.to_zoned_datetime(TimeZone::UTC))
        .map(|t| t.timestamp().as_second())
        .map_err(|e| format!("--as-of {as_of}: {e}"))
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
        assert!(
            of(Some("31.5.2026"), None)
                .expect_err("refused")
                .contains("31.5.2026")
        );
        assert!(
            of(None, Some("soon"))
                .expect_err("refused")
                .contains("SOURCE_DATE_EPOCH")
        );
    }
}

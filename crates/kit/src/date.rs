//! Calendar dates, as a waiver's end is written (RFC 3339, full-date).

use std::fmt;

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    /// Year, 1 to 9999.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
}

impl Date {
    /// A day that exists; `None` for the 30th of February and its like.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Date> {
        let leap = year.is_multiple_of(4) && !year.is_multiple_of(100) || year.is_multiple_of(400);
        let last = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => return None,
        };
        ((1..=9999).contains(&year) && (1..=last).contains(&day)).then_some(Date {
            year,
            month,
            day,
        })
    }

    /// Reads `YYYY-MM-DD`; `None` for anything else.
    pub fn parse(text: &str) -> Option<Date> {
        let b = text.as_bytes();
        let shape = b.len() == 10
            && b.iter().enumerate().all(|(i, c)| {
                if i == 4 || i == 7 {
                    *c == b'-'
                } else {
                    c.is_ascii_digit()
                }
            });
        if !shape {
            return None;
        }
        Date::new(
            text[..4].parse().ok()?,
            text[5..7].parse().ok()?,
            text[8..].parse().ok()?,
        )
    }

    /// Days since 1 March of the year 0: differences count days.
    pub fn day_number(self) -> i64 {
        // Years begin in March here, so that the leap day is the last of its year.
        let (y, m) = if self.month > 2 {
            (i64::from(self.year), i64::from(self.month) - 3)
        } else {
            (i64::from(self.year) - 1, i64::from(self.month) + 9)
        };
        365 * y + y.div_euclid(4) - y.div_euclid(100)
            + y.div_euclid(400)
            + (153 * m + 2) / 5
            + i64::from(self.day)
            - 1
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_that_exist_are_read() {
        for good in [
            "2024-02-29",
            "2000-02-29",
            "2026-11-25",
            "0001-01-01",
            "9999-12-31",
        ] {
            assert_eq!(
                Date::parse(good).map(|d| d.to_string()).as_deref(),
                Some(good)
            );
        }
        for bad in [
            "2023-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "2026-1-1",
            "26-01-01",
            "2026/01/01",
            "0000-01-01",
            "2026-01-01T00:00:00Z",
            "2026-01-é",
        ] {
            assert_eq!(Date::parse(bad), None, "{bad}");
        }
    }

    /// 1970-01-01 is Unix day 0 and 2023-11-14 is Unix day 19675: 1700000000 s is 2023-11-14T22:13:20Z.
    #[test]
    fn days_are_counted_as_the_unix_clock_counts_them() {
        let day = |text| Date::parse(text).expect(text).day_number();
        assert_eq!(
            day("2023-11-14") - day("1970-01-01"),
            1_700_000_000 / 86_400
        );
        assert_eq!(day("2024-03-01") - day("2024-02-28"), 2);
    }
}

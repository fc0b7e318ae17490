//! The one time that every entry of an archive carries.
//!
//! Zip stores local wall time in two 16-bit words with steps of two seconds (APPNOTE 6.3.10, section 4.4.6,
//! the MS-DOS format); the SOURCE_DATE_EPOCH specification 1.1 asks producers to clamp to what a format can
//! hold. Nothing here reads a clock.

/// Seconds of 1980-01-01T00:00:00Z, the earliest time that zip can hold.
pub const EARLIEST_UNIX_S: i64 = 315_532_800;
/// Seconds of 2107-12-31T23:59:58Z, the latest time that zip can hold.
pub const LATEST_UNIX_S: i64 = 4_354_819_198;

/// A time as zip stores it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Bits 15-9 year from 1980, 8-5 month, 4-0 day.
    pub dos_date: u16,
    /// Bits 15-11 hour, 10-5 minute, 4-0 seconds halved.
    pub dos_time: u16,
}

impl Stamp {
    /// 1980-01-01T00:00:00, for a release that names no date.
    pub const EARLIEST: Stamp = Stamp {
        dos_date: 0x0021,
        dos_time: 0,
    };

    /// The stamp of a time in seconds since 1970-01-01T00:00:00Z, clamped to what zip can hold, odd seconds
    /// rounded down.
    pub fn from_unix(seconds: i64) -> Stamp {
        let seconds = seconds.clamp(EARLIEST_UNIX_S, LATEST_UNIX_S);
        let (days, of_day) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
        let (year, month, day) = civil(days);
        Stamp {
            dos_date: (((year - 1980) << 9) | (month << 5) | day) as u16,
            dos_time: (((of_day / 3600) << 11) | ((of_day / 60 % 60) << 5) | (of_day % 60 / 2))
                as u16,
        }
    }

    /// Whether the words name a day and a time that exist.
    pub fn is_real(self) -> bool {
        let (date, time) = (i64::from(self.dos_date), i64::from(self.dos_time));
        let (year, month, day) = (1980 + (date >> 9), date >> 5 & 15, date & 31);
        (1..=12).contains(&month)
            && (1..=month_length(year, month)).contains(&day)
            && time >> 11 < 24
            && time >> 5 & 63 < 60
            && time & 31 < 30
    }
}

fn is_leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn month_length(year: i64, month: i64) -> i64 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Year, month and day of a count of days since 1970-01-01 that is not negative. Walking year by year is at
/// most 138 steps within zip's range.
fn civil(mut days: i64) -> (i64, i64, i64) {
    let mut year = 1970;
    loop {
        let length = 365 + i64::from(is_leap(year));
        if days < length {
            break;
        }
        days -= length;
        year += 1;
    }
    let mut month = 1;
    while days >= month_length(year, month) {
        days -= month_length(year, month);
        month += 1;
    }
    (year, month, days + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_times() {
        // SOURCE_DATE_EPOCH worked value: 1700000000 = 2023-11-14T22:13:20Z.
        let stamp = Stamp::from_unix(1_700_000_000);
        assert_eq!((stamp.dos_date, stamp.dos_time), (0x576E, 0xB1AA));
        assert_eq!(Stamp::from_unix(EARLIEST_UNIX_S), Stamp::EARLIEST);
        // 2000-02-29T12:34:57Z = 951827697 (coreutils: date -u -d @951827697); the odd second is dropped.
        let leap = Stamp::from_unix(951_827_697);
        assert_eq!(leap.dos_date, 20 << 9 | 2 << 5 | 29);
        assert_eq!(leap.dos_time, 12 << 11 | 34 << 5 | 28);
    }

    #[test]
    fn times_out_of_range_are_clamped() {
        assert_eq!(Stamp::from_unix(0), Stamp::EARLIEST);
        assert_eq!(Stamp::from_unix(i64::MIN), Stamp::EARLIEST);
        let latest = Stamp::from_unix(i64::MAX);
        assert_eq!(latest.dos_date, 127 << 9 | 12 << 5 | 31);
        assert_eq!(latest.dos_time, 23 << 11 | 59 << 5 | 29);
    }

    #[test]
    fn only_times_that_exist_are_real() {
        for day in 0..46_751 {
            assert!(Stamp::from_unix(EARLIEST_UNIX_S + day * 86_400 + 86_399).is_real());
        }
        let with = |dos_date, dos_time| Stamp { dos_date, dos_time }.is_real();
        assert!(!with(0, 0), "day 0 of month 0");
        assert!(!with(1 << 9 | 2 << 5 | 29, 0), "29 February 1981");
        assert!(!with(0x0021, 24 << 11));
        assert!(!with(0x0021, 60 << 5));
        assert!(!with(0x0021, 30));
    }
}

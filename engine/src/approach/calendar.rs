//! Working days: work is done in the hours of the days that are worked; what dries or is left on runs through nights and weekends.
//!
//! A moment is counted in hours from the midnight before the first day of work.

/// Beyond this many days nothing is counted.
pub(super) const MOST_DAYS: f64 = 36_525.0;

/// The hours and days that are worked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Calendar {
    /// Days worked in a week, from Monday on.
    pub(super) week: i64,
    /// When a day begins and ends, in hours from midnight.
    pub(super) hours: (f64, f64),
    /// The day of the week on which the first day of work falls, Monday being 0.
    pub(super) first: i64,
}

/// One surface: days of work, and what is waited for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Job {
    /// Days of work in all.
    pub(super) work: f64,
    /// How many times it is put on, left and taken off.
    pub(super) times: f64,
    /// Hours it is left each time.
    pub(super) dwell: f64,
    /// Hours of drying at the end.
    pub(super) drying: f64,
}

impl Calendar {
    fn is_worked(self, day: f64) -> bool {
        (self.first + day as i64).rem_euclid(7) < self.week
    }

    /// The first moment at or after one at which somebody is at work.
    pub(super) fn open(self, at: f64) -> f64 {
        let day = (at / 24.0 + 1e-9).floor();
        if self.is_worked(day) && at < day * 24.0 + self.hours.1 - 1e-9 {
            return at.max(day * 24.0 + self.hours.0);
        }
        let next = (1..=7).map(|n| day + f64::from(n)).find(|d| self.is_worked(*d)).unwrap_or(day);
        next * 24.0 + self.hours.0
    }

    /// The moment at which so many days of work are done.
    pub(super) fn worked(self, at: f64, days: f64) -> f64 {
        if days > MOST_DAYS {
            return f64::INFINITY;
        }
        let (mut at, mut left) = (at, days);
        while left > 1e-9 {
            at = self.open(at);
            let day = (at / 24.0 + 1e-9).floor();
            let to_the_end = day * 24.0 + self.hours.1 - at;
            let wanted = left * (self.hours.1 - self.hours.0);
            let done = wanted.min(to_the_end);
            left -= done / (self.hours.1 - self.hours.0);
            at += done;
        }
        at
    }

    /// When a job that is begun at a moment is dry. What is put on and left takes half of its work before and half after.
    pub(super) fn done(self, at: f64, job: Job) -> f64 {
        let times = job.times.max(1.0);
        let half = job.work / times / 2.0;
        let (mut at, mut done) = (at, 0.0);
        while done < times && at.is_finite() {
            at = self.worked(self.worked(at, half) + job.dwell, half);
            done += 1.0;
        }
        at + job.drying
    }

    /// The number of the day a moment falls on, the first being 1; midnight belongs to the day before.
    pub(super) fn day(at: f64) -> f64 {
        (at / 24.0 - 1e-9).floor().max(0.0) + 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MONDAY: Calendar = Calendar { week: 5, hours: (8.0, 16.0), first: 0 };

    /// By the calendar: five days of work from Monday end on Friday, six on the Monday after.
    #[test]
    fn weekends_are_not_worked() {
        assert_eq!(Calendar::day(MONDAY.worked(0.0, 5.0)), 5.0);
        assert_eq!(Calendar::day(MONDAY.worked(0.0, 5.5)), 8.0);
        assert_eq!(MONDAY.worked(0.0, 5.5), 7.0 * 24.0 + 12.0);
        let every_day = Calendar { week: 7, ..MONDAY };
        assert_eq!(Calendar::day(every_day.worked(0.0, 5.5)), 6.0);
        // Begun on a Friday, the second day of work is the fourth on the calendar.
        assert_eq!(Calendar::day(Calendar { first: 4, ..MONDAY }.worked(0.0, 2.0)), 4.0);
    }

    /// What dries does so on Saturday and Sunday too, and at night.
    #[test]
    fn drying_runs_through_nights_and_weekends() {
        let friday = Calendar { first: 4, ..MONDAY };
        let job = Job { work: 1.0, times: 1.0, dwell: 0.0, drying: 48.0 };
        assert_eq!(friday.done(0.0, job), 16.0 + 48.0);
        assert_eq!(Calendar::day(friday.done(0.0, job)), 3.0, "dry on Sunday");
        // Taken off in the morning after a night of dwell: half a day on, 16 h, half a day off.
        let job = Job { work: 1.0, times: 1.0, dwell: 16.0, drying: 0.0 };
        assert_eq!(MONDAY.done(0.0, job), 24.0 + 8.0 + 4.0);
        // Twice over takes another day and night.
        let job = Job { work: 2.0, times: 2.0, dwell: 16.0, drying: 0.0 };
        assert_eq!(Calendar::day(MONDAY.done(0.0, job)), 3.0);
    }

    #[test]
    fn moments_open_in_the_hours_of_work() {
        assert_eq!(MONDAY.open(0.0), 8.0);
        assert_eq!(MONDAY.open(9.5), 9.5);
        assert_eq!(MONDAY.open(16.0), 32.0);
        assert_eq!(MONDAY.open(4.0 * 24.0 + 17.0), 7.0 * 24.0 + 8.0, "Friday evening to Monday morning");
        assert!(MONDAY.worked(0.0, 1e9).is_infinite());
    }
}

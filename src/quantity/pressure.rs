//! Pressure measured from vacuum, from the atmosphere, or between two points: three types that never mix silently.

use std::ops::{Add, Sub};

/// Pressure above vacuum, in pascal.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Absolute(pub f64);

/// Pressure above the local atmosphere, in pascal; negative below it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Gauge(pub f64);

/// Pressure between two points of one system, in pascal.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Difference(pub f64);

impl Gauge {
    /// The same pressure measured from vacuum, where the atmosphere is `atmosphere`.
    pub fn absolute(self, atmosphere: Absolute) -> Absolute {
        Absolute(self.0 + atmosphere.0)
    }

    /// The pressure in kilopascal, gauge.
    pub fn kpa(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Absolute {
    /// The same pressure measured from the atmosphere `atmosphere`.
    pub fn gauge(self, atmosphere: Absolute) -> Gauge {
        Gauge(self.0 - atmosphere.0)
    }

    /// The pressure in kilopascal, absolute.
    pub fn kpa(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Difference {
    /// The difference in kilopascal.
    pub fn kpa(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Sub for Absolute {
    type Output = Difference;
    fn sub(self, other: Self) -> Difference {
        Difference(self.0 - other.0)
    }
}

impl Sub for Gauge {
    type Output = Difference;
    fn sub(self, other: Self) -> Difference {
        Difference(self.0 - other.0)
    }
}

impl Add<Difference> for Absolute {
    type Output = Absolute;
    fn add(self, other: Difference) -> Absolute {
        Absolute(self.0 + other.0)
    }
}

impl Sub<Difference> for Absolute {
    type Output = Absolute;
    fn sub(self, other: Difference) -> Absolute {
        Absolute(self.0 - other.0)
    }
}

impl Add<Difference> for Gauge {
    type Output = Gauge;
    fn add(self, other: Difference) -> Gauge {
        Gauge(self.0 + other.0)
    }
}

impl Sub<Difference> for Gauge {
    type Output = Gauge;
    fn sub(self, other: Difference) -> Gauge {
        Gauge(self.0 - other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_and_absolute_meet_only_through_the_atmosphere() {
        let mile_high = Absolute(84_311.06);
        assert_eq!(Gauge(300_000.0).absolute(mile_high), Absolute(384_311.06));
        assert_eq!(Absolute(35_000.0).gauge(mile_high), Gauge(35_000.0 - 84_311.06));
        assert_eq!(Absolute(384_311.06) - Absolute(35_000.0), Difference(349_311.06));
    }
}

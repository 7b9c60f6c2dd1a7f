//! Readings that come from a data log instead of a gauge.

use crate::terms::{Condition, Place, Reading};
use serde::{Deserialize, Serialize};

/// A data log, by what names it for good.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LogFile {
    /// The name of its file, without folders.
    pub file: String,
    /// SHA-256 of the file, in hexadecimal.
    pub digest: String,
}

/// A reading as a log shows it. It counts for nothing until a person takes it at a step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Logged {
    /// What was read.
    pub reading: Reading,
    /// In which condition.
    pub condition: Condition,
    /// Where the sensor of a fuel pressure sits, where that was said.
    pub place: Option<Place>,
    /// The value in the SI unit of its dimension.
    pub si: f64,
    /// Standard deviation within and between the stretches, SI.
    pub spread: f64,
    /// Steady stretches it rests on.
    pub stretches: usize,
    /// Their length together, s.
    pub seconds: f64,
    /// What a person must know of it before taking it.
    pub remark: Option<String>,
}

/// What a reading that was taken from a log rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FromLog {
    /// The log.
    pub log: LogFile,
    /// Standard deviation within and between the stretches, SI.
    pub spread: f64,
    /// Steady stretches it rests on.
    pub stretches: usize,
    /// Their length together, s.
    pub seconds: f64,
}

//! Who writes a case.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The program that holds a case for writing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Holder {
    /// Its process number.
    pub pid: u32,
    /// The computer it runs on.
    pub host: String,
    /// Since when, RFC 3339.
    pub since: String,
}

impl Holder {
    /// This program, from now on.
    pub fn this() -> Self {
        Self { pid: std::process::id(), host: host_name(), since: format!("{:.0}", Timestamp::now()) }
    }

    pub(super) fn to_bytes(&self) -> Vec<u8> {
        serde_json::to_vec(self).unwrap_or_default()
    }

    /// What another program left in the lock file, if it can be read.
    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice(bytes).ok()
    }
}

impl fmt::Display for Holder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let host = crate::text::one_line(&self.host);
        write!(f, "process {} on {host} since {}", self.pid, crate::text::one_line(&self.since))
    }
}

/// The name of this computer, as far as the system tells it without a call of its own.
fn host_name() -> String {
    let from_file =
        ["/proc/sys/kernel/hostname", "/etc/hostname"].iter().find_map(|p| std::fs::read_to_string(p).ok());
    from_file
        .or_else(|| std::env::var("HOSTNAME").ok())
        .or_else(|| std::env::var("COMPUTERNAME").ok())
        .map(|name| name.trim().to_owned())
        .filter(|name| !name.is_empty())
        .unwrap_or_else(|| "unknown".to_owned())
}

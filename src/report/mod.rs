//! Findings reports.

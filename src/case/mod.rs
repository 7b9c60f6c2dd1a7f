//! The journal on disk.

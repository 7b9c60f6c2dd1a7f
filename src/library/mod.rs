//! Where trees come from.

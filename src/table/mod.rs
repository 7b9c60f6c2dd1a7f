//! Inference on a plain table.

//! What must hold for any bytes at all, wherever text from outside comes in. Each function takes the bytes a fuzzer or a
//! random test gives and panics where something does not hold.

mod files;
mod journal;
mod keys;
mod log;
mod numbers;
mod text;

pub use files::{rig, tree};
pub use journal::journal;
pub use keys::keys;
pub use log::log;
pub use numbers::numbers;
pub use text::text;

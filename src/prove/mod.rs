//! The proof: every fault injected into the model, every tree walked, the figures counted.
//!
//! In: trees, rigs, seeds. Out: where each injected fault ended, and the testability figures. Walks go through the session like
//! any other front's, so what is proved is what a person gets. Counts ([`Tally`]) add up, so that shards can be merged; figures
//! ([`figures()`]) are worked out from them. Groups of faults are counted in replaceable parts, from the list in `terms`.
//!
//! This room knows no screens and no reports; it writes nothing.

mod alike;
mod aside;
mod authored;
mod bounds;
mod car;
mod cars;
mod course;
mod economy;
mod ends;
mod figures;
mod guided;
mod mixes;
mod noise_free;
mod noisy;
mod possible;
mod sought;
mod summary;
mod tally;
mod together;
mod toward;
mod unit;
mod unlisted;
mod walker;
mod worse;

pub use alike::{Reach, parts, reach};
pub use authored::{Authored, authored};
pub use bounds::clopper_pearson;
pub use car::ProofCar;
pub use cars::{Person, Reader, run_cars};
pub use ends::{Ends, Kept};
pub use figures::{Figures, Rate, SetFigures, WalkFigures, figures, library, walk_figures};
pub use guided::{Guided, guided};
pub use mixes::{Mix, Trail, drawn, untaken, walk as walk_mix, word};
pub use noise_free::{End, Injected, Outcome, injected, run, walk_one};
pub use possible::{may_part, possible};
pub use sought::sought;
pub use summary::{summary, walks_summary};
pub use tally::{Add, Cell, Cells, Doubts, Economy, Least, Rows, Share, Survival, Tally, TreeTally};
pub use together::{Came, together};
pub use unit::{Effort, METER_ONLY, prove};
pub use unlisted::Unlisted;
pub use walker::{Slip, Walker, fine};
pub use worse::{Before, Worse};

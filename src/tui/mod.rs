//! The screens: one case in progress on a terminal of any size.
//!
//! In: keys, pastes, sizes and signals as messages; cases, cars and the walk through the [`Desk`]. Out: frames, and acts at
//! the desk. `update` changes the model and `view` draws it; drawing changes nothing. Screens are laid out as sheets of lines,
//! so every size works the same way. This room does not know how anything is computed, judged or kept, nor the line
//! dialogue.

mod actions;
mod acts;
mod app;
mod cases;
mod desk;
mod door;
mod help;
mod keys;
mod lesson;
mod look;
mod model;
mod offers;
mod open;
mod plan;
mod runtime;
mod screens;
mod sheet;
mod supply;
mod terminal;
mod theme;
mod update;
mod view;
mod widgets;

pub use actions::Action;
pub use app::{App, Effect, HELD};
pub use desk::{
    Act, Asks, CarLine, CarSheet, CaseLine, Desk, Echo, Expected, FactKind, FactLine, FindingData, Head,
    Page, Para, Phase, Prompt, RecordLine, Settings, StepData, Way,
};
pub use door::{Door, Places, recall_settings, saved_cars};
pub use keys::{Key, Msg, Stop, messages};
pub use lesson::{Choices, LEVELS, LessonSheet, MoveLine, PracticeAct};
pub use look::Look;
pub use model::{LessonView, Model, Screen};
pub use offers::{Offered, Remark};
pub use open::{Begin, OpenError, Options, open, places};
pub use plan::{Spot, StationPressures};
pub use runtime::{End, Host, run};
pub use supply::{PLANS, SupplyRow, SupplySheet};
pub use terminal::RealHost;
pub use theme::{Depth, Ground, Role, Theme};
pub use view::{draw, view};
pub use widgets::{Circuit, InductionPath, Part, PartState, Scale, StationView};

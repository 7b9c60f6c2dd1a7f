//! From a start on the command line to the running screens.

use super::app::App;
use super::door::{Door, Places};
use super::look::Look;
use super::runtime::{End, run};
use super::terminal::RealHost;
use super::theme::{Depth, Ground};
use ratatui::Terminal;
use std::path::PathBuf;

/// What to begin with.
#[derive(Debug, Clone, Default)]
pub enum Begin {
    /// The start screen.
    #[default]
    Start,
    /// The start screen, with the car of this rig file taken.
    Car(String),
    /// A kept case.
    Case(String),
    /// A tree, with the text of a rig file and the complaint.
    Tree {
        /// The tree's id.
        tree: String,
        /// The rig file's text.
        rig: String,
        /// The complaint.
        complaint: String,
    },
}

/// How the screens are opened.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// Folder of the cases; none: the account's own.
    pub cases: Option<PathBuf>,
    /// Folder of trees; none: those built in.
    pub trees: Option<PathBuf>,
    /// No colour.
    pub no_color: bool,
    /// No character above 127.
    pub ascii: bool,
    /// The terminal has a light ground.
    pub light: bool,
    /// What to begin with.
    pub begin: Begin,
}

/// Why the screens did not open or broke off.
#[derive(Debug)]
pub enum OpenError {
    /// What was asked for can't be used.
    Input(String),
    /// The terminal can't be used.
    Terminal(std::io::Error),
}

impl std::fmt::Display for OpenError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Input(text) => f.write_str(text),
            Self::Terminal(error) => write!(f, "the terminal can't be used: {error}"),
        }
    }
}

impl std::error::Error for OpenError {}

/// A folder after the XDG Base Directory Specification 0.8: the variable if it is an absolute path, or else under the home folder.
fn folder(variable: &str, under_home: &str) -> Option<PathBuf> {
    let absolute = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    absolute(variable).or_else(|| absolute("HOME").map(|h| h.join(under_home))).map(|p| p.join("faultwalk"))
}

/// Where everything is kept, with the cases and trees given and the account's own folders for the rest.
pub fn places(cases: Option<PathBuf>, trees: Option<PathBuf>) -> Places {
    Places {
        cases,
        trees,
        cars: folder("XDG_DATA_HOME", ".local/share").map(|f| f.join("cars")),
        settings: folder("XDG_CONFIG_HOME", ".config").map(|f| f.join("settings.json")),
    }
}

/// Opens the screens and runs them until the person leaves; gives how they ended.
///
/// # Errors
/// [`OpenError`]; the terminal is as before when this returns.
pub fn open(options: Options) -> Result<End, OpenError> {
    let lookup = |name: &str| std::env::var(name).ok();
    let mut look = Look::detect(lookup);
    look.ascii |= options.ascii;
    if options.no_color {
        look.theme.depth = Depth::None;
    }
    let places = places(options.cases, options.trees);
    let settings = places.settings.as_deref().map(super::door::recall_settings).unwrap_or_default();
    look.ascii |= settings.ascii == Some(true);
    // What takes colour away for this run wins over what was once chosen.
    if let Some(colour) = settings.colour.filter(|_| look.theme.depth != Depth::None) {
        look.theme.depth = colour;
    }
    if options.light || settings.light {
        look.theme.ground = Ground::Light;
    }
    let mut door = Door::open(places, settings).map_err(OpenError::Input)?;
    match options.begin {
        Begin::Start => {}
        Begin::Car(rig) => door.take_given(&rig).map_err(OpenError::Input)?,
        Begin::Case(name) => {
            door.resume(&name).map_err(OpenError::Input)?;
        }
        Begin::Tree { tree, rig, complaint } => {
            door.begin_with(&tree, &rig, &complaint).map_err(OpenError::Input)?;
        }
    }
    let mut host = RealHost::enter().map_err(OpenError::Terminal)?;
    let mut terminal = Terminal::new(RealHost::backend()).map_err(OpenError::Terminal)?;
    let mut app = App::new(Box::new(door), look, settings);
    run(&mut app, &mut terminal, &mut host).map_err(OpenError::Terminal)
}
